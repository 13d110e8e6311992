# Bundles the page in a copy, so that nothing is written into the source tree, and makes the source file that holds it.
# Wants NPM, PAGE (the sources), WORK (a folder to work in) and OUT (the source file to make).
file(COPY ${PAGE}/ DESTINATION ${WORK} PATTERN node_modules EXCLUDE PATTERN dist EXCLUDE)

function(npm)
  execute_process(COMMAND ${NPM} ${ARGN} WORKING_DIRECTORY ${WORK} RESULT_VARIABLE failed OUTPUT_VARIABLE said ERROR_VARIABLE said)
  if(failed)
    message(FATAL_ERROR "npm ${ARGN} failed:\n${said}")
  endif()
endfunction()

file(SHA256 ${WORK}/package-lock.json lock)
set(installed "")
if(EXISTS ${WORK}/node_modules/.installed)
  file(READ ${WORK}/node_modules/.installed installed)
endif()
if(NOT installed STREQUAL lock)
  npm(ci --no-audit --no-fund --ignore-scripts)
  file(WRITE ${WORK}/node_modules/.installed ${lock})
endif()
npm(run build)

set(types .woff2 font/woff2 .html text/html .js text/javascript .css text/css .svg image/svg+xml)
file(GLOB_RECURSE names RELATIVE ${WORK}/dist ${WORK}/dist/*)
list(SORT names)
set(symbols "")
set(rows "")
set(index 0)
foreach(name IN LISTS names)
  get_filename_component(extension ${name} LAST_EXT)
  list(FIND types ${extension} at)
  if(at EQUAL -1)
    message(FATAL_ERROR "the page has a file of no known type: ${name}")
  endif()
  math(EXPR at "${at} + 1")
  list(GET types ${at} type)
  string(APPEND symbols "__asm__(\".section .rodata\\n.global swingtie_page_${index}\\n.hidden swingtie_page_${index}\\n\"
        \"swingtie_page_${index}:\\n.incbin \\\"${WORK}/dist/${name}\\\"\\n\"
        \".global swingtie_page_${index}_end\\n.hidden swingtie_page_${index}_end\\nswingtie_page_${index}_end:\\n.byte 0\\n.previous\");
extern \"C\" const char swingtie_page_${index}[], swingtie_page_${index}_end[];\n")
  string(APPEND rows "      {\"/${name}\", \"${type}; charset=utf-8\", text(swingtie_page_${index}, swingtie_page_${index}_end)},\n")
  math(EXPR index "${index} + 1")
endforeach()

file(WRITE ${OUT} "#include <array>

#include \"serve/page_files.hpp\"

${symbols}
namespace swingtie {

std::span<const PageFile> page_files() {
  const auto text = [](const char* begin, const char* end) {
    return std::string_view(begin, static_cast<std::size_t>(end - begin));
  };
  static const std::array<PageFile, ${index}> files{{
${rows}  }};
  return files;
}

}  // namespace swingtie
")
