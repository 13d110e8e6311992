#include "job/job.hpp"
