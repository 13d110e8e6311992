#include "findings/findings.hpp"
