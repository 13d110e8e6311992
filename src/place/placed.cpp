#include "place/placed.hpp"
