#include <iostream>

#include "job/job.hpp"

int main() {
  std::cout << swingtie::job_schema();
}
