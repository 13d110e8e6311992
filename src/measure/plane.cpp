#include "measure/plane.hpp"
