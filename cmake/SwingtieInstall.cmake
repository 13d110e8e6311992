# What `cmake --install` puts where, in two components that CPack makes two Debian packages of: `swingtie`, the program with its
# modules, manual page, completions, styles and samples; `libswingtie-dev`, the stages as static libraries with headers and a CMake package.
include(CMakePackageConfigHelpers)

install(TARGETS swingtie RUNTIME COMPONENT program)

# The program itself knows its flags: it writes its manual page and completions.
set(documents ${PROJECT_BINARY_DIR}/documents)
add_custom_command(
  OUTPUT ${documents}/swingtie.1.gz ${documents}/swingtie.bash ${documents}/_swingtie ${documents}/swingtie.fish
  COMMAND ${CMAKE_COMMAND} -D PROGRAM=$<TARGET_FILE:swingtie> -D FOLDER=${documents}
    -P ${PROJECT_SOURCE_DIR}/cmake/write_documents.cmake
  DEPENDS swingtie ${PROJECT_SOURCE_DIR}/cmake/write_documents.cmake
  COMMENT "Writing the manual page and the completions" VERBATIM)
add_custom_target(documents ALL DEPENDS ${documents}/swingtie.1.gz)
install(FILES ${documents}/swingtie.1.gz DESTINATION ${CMAKE_INSTALL_MANDIR}/man1 COMPONENT program)
install(FILES ${documents}/swingtie.bash DESTINATION ${CMAKE_INSTALL_DATADIR}/bash-completion/completions
        RENAME swingtie COMPONENT program)
install(FILES ${documents}/_swingtie DESTINATION ${CMAKE_INSTALL_DATADIR}/zsh/vendor-completions COMPONENT program)
install(FILES ${documents}/swingtie.fish DESTINATION ${CMAKE_INSTALL_DATADIR}/fish/vendor_completions.d
        COMPONENT program)

install(FILES README.md DESTINATION ${CMAKE_INSTALL_DOCDIR} COMPONENT program)
install(FILES LICENSE DESTINATION ${CMAKE_INSTALL_DOCDIR} RENAME copyright COMPONENT program)
install(DIRECTORY samples DESTINATION ${CMAKE_INSTALL_DOCDIR} COMPONENT program PATTERN run EXCLUDE PATTERN make-parcels EXCLUDE)
install(DIRECTORY styles DESTINATION ${CMAKE_INSTALL_DATADIR}/swingtie COMPONENT program)

# The library: find_package(swingtie), then link swingtie::findings or another stage; see tests/install/route-length.
foreach(stage IN ITEMS measure load job place route findings sheet draw exchange)
  set_target_properties(swingtie_${stage} PROPERTIES EXPORT_NAME ${stage})
  install(TARGETS swingtie_${stage} EXPORT swingtie
          ARCHIVE COMPONENT library
          FILE_SET HEADERS DESTINATION ${CMAKE_INSTALL_INCLUDEDIR}/swingtie COMPONENT library)
endforeach()
set(package_folder ${CMAKE_INSTALL_LIBDIR}/cmake/swingtie)
install(EXPORT swingtie NAMESPACE swingtie:: FILE swingtie-targets.cmake DESTINATION ${package_folder} COMPONENT library)
set(module_folder ${CMAKE_INSTALL_LIBDIR}/swingtie)
configure_package_config_file(cmake/swingtie-config.cmake.in ${PROJECT_BINARY_DIR}/swingtie-config.cmake
  INSTALL_DESTINATION ${package_folder} PATH_VARS module_folder NO_SET_AND_CHECK_MACRO NO_CHECK_REQUIRED_COMPONENTS_MACRO)
write_basic_package_version_file(${PROJECT_BINARY_DIR}/swingtie-config-version.cmake COMPATIBILITY SameMinorVersion)
install(FILES ${PROJECT_BINARY_DIR}/swingtie-config.cmake ${PROJECT_BINARY_DIR}/swingtie-config-version.cmake
        DESTINATION ${package_folder} COMPONENT library)
install(DIRECTORY tests/install/route-length DESTINATION ${CMAKE_INSTALL_DATADIR}/doc/libswingtie-dev/examples
        COMPONENT library)
install(FILES LICENSE DESTINATION ${CMAKE_INSTALL_DATADIR}/doc/libswingtie-dev RENAME copyright COMPONENT library)

set(CPACK_GENERATOR DEB)
set(CPACK_PACKAGE_DESCRIPTION_SUMMARY "route of a house sewer from camera counter, locates and ties")
set(CPACK_PACKAGE_CONTACT "The swingtie authors <swingtie@example.org>")
set(CPACK_PACKAGING_INSTALL_PREFIX /usr)
set(CPACK_STRIP_FILES ON)
set(CPACK_COMPONENTS_ALL program library)
set(CPACK_COMPONENTS_GROUPING IGNORE)
set(CPACK_DEB_COMPONENT_INSTALL ON)
set(CPACK_DEBIAN_FILE_NAME DEB-DEFAULT)
set(CPACK_DEBIAN_PROGRAM_PACKAGE_NAME swingtie)
set(CPACK_DEBIAN_PROGRAM_PACKAGE_SECTION science)
set(CPACK_DEBIAN_PROGRAM_PACKAGE_SHLIBDEPS ON)
set(CPACK_DEBIAN_PROGRAM_PACKAGE_DEPENDS proj-data)
set(CPACK_DEBIAN_PROGRAM_PACKAGE_RECOMMENDS fonts-dejavu-core)
set(CPACK_COMPONENT_PROGRAM_DESCRIPTION "Turns what a camera inspection of a house sewer measured into an adjusted
 route with its uncertainty, says where and how large to dig and on whose side
 of the right-of-way each finding lies, and draws scaled sheets and data files.")
set(CPACK_DEBIAN_LIBRARY_PACKAGE_NAME libswingtie-dev)
set(CPACK_DEBIAN_LIBRARY_PACKAGE_SECTION libdevel)
# The modules that are opened on demand come with the program, and belong to exactly its version.
set(CPACK_DEBIAN_LIBRARY_PACKAGE_DEPENDS "swingtie (= ${PROJECT_VERSION}), libboost-dev, libcairo2-dev, libeigen3-dev, libfmt-dev, \
libfreetype-dev, libjpeg-dev, libpng-dev, libqrencode-dev, libyaml-cpp-dev, nlohmann-json3-dev")
set(CPACK_COMPONENT_LIBRARY_DESCRIPTION "Libraries and headers: the stages of swingtie for use in C++ programs: the reader of job files, the
 route engine, the findings, the drawings and the data formats.")
include(CPack)
