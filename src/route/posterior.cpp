#include "route/posterior.hpp"
