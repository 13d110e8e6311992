cmake_minimum_required(VERSION 3.25)

# A library that costs seconds to compile, or whose types would spread, is included by .cpp files only; the folder that
# wraps it may also name its types in its own private headers.
set(heavy "boost/|nlohmann/json\\.hpp|cairo|pango|hb|CLI/|gdal|ogr|cpl_|proj\\.h|yaml-cpp/|qpdf/|httplib|qrencode|png\\.h")
set(wrapped_by_draw "cairo|png\\.h|qpdf/")
set(wrapped_by_sheet "pango|hb|qrencode")
set(wrapped_by_serve "httplib")

file(GLOB_RECURSE headers RELATIVE ${SOURCE_DIR} ${SOURCE_DIR}/src/*.hpp)
set(faults)
foreach(header IN LISTS headers)
  string(REGEX REPLACE "^src/([^/]+)/.*" "\\1" folder ${header})
  file(STRINGS ${SOURCE_DIR}/${header} includes REGEX "^ *# *include <(${heavy})")
  foreach(include IN LISTS includes)
    if(NOT (DEFINED wrapped_by_${folder} AND include MATCHES "<(${wrapped_by_${folder}})"))
      string(APPEND faults "  ${header}: ${include}\n")
    endif()
  endforeach()
endforeach()
if(faults)
  message(FATAL_ERROR "headers that include a heavy library:\n${faults}")
endif()
