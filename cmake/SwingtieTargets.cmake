include(GNUInstallDirs)

# One interface target carries the flags that every target of ours is compiled with.
add_library(swingtie_flags INTERFACE)
# Contraction would let the same input give different last digits on another compiler; see DEVELOPERS.md.
target_compile_options(swingtie_flags INTERFACE
  -Wall -Wextra -Wpedantic -Wshadow -Wconversion -Wno-sign-conversion -Wnon-virtual-dtor -Woverloaded-virtual
  # The fuzz targets need clang, which warns of other things than the compiler that everything else is built by.
  $<$<NOT:$<BOOL:${SWINGTIE_FUZZ}>>:-Werror> -ffp-contract=off
  # g++ 12 reports overlap in any operator+ of a short literal and a string (GCC bug 105651).
  $<$<CXX_COMPILER_ID:GNU>:-Wno-restrict>
  # In a unity build a name of one file may shadow that of another.
  $<$<BOOL:${CMAKE_UNITY_BUILD}>:-Wno-shadow>)
if(SWINGTIE_SANITIZE STREQUAL "thread")
  target_compile_options(swingtie_flags INTERFACE -fsanitize=thread -fno-omit-frame-pointer)
  target_link_options(swingtie_flags INTERFACE -fsanitize=thread)
elseif(SWINGTIE_SANITIZE)
  # The four left out double the time to compile templates; the address sanitizer sees what the first three would.
  target_compile_options(swingtie_flags INTERFACE -fsanitize=address,undefined
    -fno-sanitize=null,alignment,object-size,vptr -fno-omit-frame-pointer)
  target_link_options(swingtie_flags INTERFACE -fsanitize=address,undefined)
endif()

if(SWINGTIE_FUZZ)
  target_compile_options(swingtie_flags INTERFACE -fsanitize=fuzzer-no-link,address,undefined -fno-sanitize-recover=all)
  target_link_options(swingtie_flags INTERFACE -fsanitize=address,undefined)
endif()

# A unity build compiles several files as one, in a third of the time (README and .ci/run say when). The files named
# after APART are compiled alone even so: a neighbour has the same name in its unnamed namespace, or clang cannot read them.
function(swingtie_apart)
  set_source_files_properties(${ARGN} PROPERTIES SKIP_UNITY_BUILD_INCLUSION ON)
endfunction()

# swingtie_stage(<name> SOURCES a.cpp … HEADERS a.hpp … [SEES <stage> …] [USES <library> …] [APART b.cpp …])
# A stage is one folder of src/ and one static library. SEES names the stages whose headers its own headers
# include; USES the third-party libraries that stay behind its .cpp files.
function(swingtie_stage name)
  cmake_parse_arguments(ARG "" "" "SOURCES;HEADERS;SEES;USES;APART" ${ARGN})
  swingtie_apart(${ARG_APART})
  add_library(swingtie_${name} STATIC)
  target_sources(swingtie_${name} PRIVATE ${ARG_SOURCES}
    PUBLIC FILE_SET HEADERS BASE_DIRS ${PROJECT_SOURCE_DIR}/src FILES ${ARG_HEADERS})
  set_target_properties(swingtie_${name} PROPERTIES VERIFY_INTERFACE_HEADER_SETS ON)
  foreach(stage IN LISTS ARG_SEES)
    target_link_libraries(swingtie_${name} PUBLIC swingtie_${stage})
  endforeach()
  target_compile_features(swingtie_${name} PUBLIC cxx_std_20)
  target_link_libraries(swingtie_${name} PUBLIC Eigen3::Eigen PRIVATE $<BUILD_INTERFACE:swingtie_flags> ${ARG_USES})
endfunction()

# swingtie_module(<name> [FOR <stage>] SOURCES a.cpp … [SEES <stage> …] USES <library> … [APART b.cpp …])
# The shared module swingtie-<name>.so that src/load opens on demand, built whenever the stage FOR is.
function(swingtie_module name)
  cmake_parse_arguments(ARG "" "FOR" "SOURCES;SEES;USES;APART" ${ARGN})
  swingtie_apart(${ARG_APART})
  add_library(swingtie_module_${name} MODULE ${ARG_SOURCES})
  set_target_properties(swingtie_module_${name} PROPERTIES PREFIX "" OUTPUT_NAME swingtie-${name}
    CXX_VISIBILITY_PRESET hidden VISIBILITY_INLINES_HIDDEN ON)
  foreach(stage IN LISTS ARG_SEES)
    target_link_libraries(swingtie_module_${name} PRIVATE swingtie_${stage})
  endforeach()
  target_include_directories(swingtie_module_${name} PRIVATE ${PROJECT_SOURCE_DIR}/src)
  target_compile_definitions(swingtie_module_${name} PRIVATE SWINGTIE_VERSION="${PROJECT_VERSION}")
  target_link_libraries(swingtie_module_${name} PRIVATE swingtie_flags Eigen3::Eigen ${ARG_USES})
  if(ARG_FOR)
    add_dependencies(swingtie_${ARG_FOR} swingtie_module_${name})
  endif()
  install(TARGETS swingtie_module_${name} LIBRARY DESTINATION ${CMAKE_INSTALL_LIBDIR}/swingtie COMPONENT program)
endfunction()

# swingtie_test(<stage> SOURCES … [SEES <stage> …] [USES <library> …] [APART b.cpp …])
# The Catch2 binary test_<stage>, its cases registered with CTest one by one and labelled with the stage. A case that
# warns "skipped: …" (for want of a program or of data that is not part of the repository) counts as not run.
function(swingtie_test name)
  cmake_parse_arguments(ARG "" "" "SOURCES;SEES;USES;APART" ${ARGN})
  swingtie_apart(${ARG_APART})
  add_executable(test_${name} ${ARG_SOURCES})
  foreach(stage IN LISTS ARG_SEES)
    target_link_libraries(test_${name} PRIVATE swingtie_${stage})
  endforeach()
  target_link_libraries(test_${name} PRIVATE swingtie_flags Catch2::Catch2WithMain fmt::fmt ${ARG_USES})
  target_include_directories(test_${name} PRIVATE ${PROJECT_SOURCE_DIR}/tests)
  # The stages under test are compiled as they ship; a test itself runs once.
  target_compile_options(test_${name} PRIVATE $<$<CONFIG:Release>:-O1>)
  target_compile_definitions(test_${name} PRIVATE
    SWINGTIE_SOURCE_DIR="${PROJECT_SOURCE_DIR}" SWINGTIE_REFERENCE_DIR="${PROJECT_SOURCE_DIR}/tests/reference")
  catch_discover_tests(test_${name} TEST_PREFIX "${name}: " PROPERTIES LABELS ${name} SKIP_REGULAR_EXPRESSION "skipped: ")
endfunction()
