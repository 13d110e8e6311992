#pragma once

#include <string>
#include <string_view>

#include "serve/job_folder.hpp"

namespace swingtie {

struct ApiAnswer {
  int status = 200;
  std::string type = "application/json";
  std::string body;
  std::string file_name;  ///< not empty: to be kept under this name
};

/// One call of the local API: what the server does once a request is known to be welcome. No HTTP here.
/// The calls are described in page/openapi.yaml. Bad input is a 4xx answer with `{"error": …}`; a mistake in a job is
/// not bad input but an answer with diagnostics; what this machine lacks is a 500 answer that says so.
/// @throws std::system_error where the disk refuses
/// @param method  `GET`, `PUT` or `POST`; @param path  decoded, starting with `/api/`
ApiAnswer answer(JobFolder& folder, std::string_view method, std::string_view path, std::string_view body);

}  // namespace swingtie
