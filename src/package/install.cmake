# What `cmake --install` puts where: the program with its papers, the library for other programs, the keys.
include(GNUInstallDirs)
include(CMakePackageConfigHelpers)

# While the major version is 0 a minor one may break programs; from 1.0 on only a major one.
if(PROJECT_VERSION_MAJOR EQUAL 0)
  set(RUSHLIGHT_INTERFACE ${PROJECT_VERSION_MAJOR}.${PROJECT_VERSION_MINOR})
  set(compatibility SameMinorVersion)
else()
  set(RUSHLIGHT_INTERFACE ${PROJECT_VERSION_MAJOR})
  set(compatibility SameMajorVersion)
endif()
set(package_source ${CMAKE_CURRENT_LIST_DIR})
set(package ${CMAKE_CURRENT_BINARY_DIR}/package)

# ---- the library -------------------------------------------------------------------------------------
# The shared one is the same objects, with nothing to be seen but what the headers promise.
add_library(rushlight_shared SHARED $<TARGET_OBJECTS:rushlight_library>)
set_target_properties(rushlight_shared PROPERTIES OUTPUT_NAME rushlight EXPORT_NAME rushlight
                      LINKER_LANGUAGE C VERSION ${PROJECT_VERSION} SOVERSION ${RUSHLIGHT_INTERFACE})
target_include_directories(rushlight_shared INTERFACE $<INSTALL_INTERFACE:${CMAKE_INSTALL_INCLUDEDIR}>)
target_link_libraries(rushlight_shared PRIVATE rush_flags ${RUSHLIGHT_NEEDS})
if(NOT APPLE) # whose linker knows no version scripts
  configure_file(${package_source}/rushlight.map.in ${package}/rushlight.map @ONLY)
  target_link_options(rushlight_shared PRIVATE "LINKER:--version-script=${package}/rushlight.map")
  set_target_properties(rushlight_shared PROPERTIES LINK_DEPENDS ${package}/rushlight.map)
endif()
set_target_properties(rushlight_library PROPERTIES EXPORT_NAME static)

install(TARGETS rushlight_shared EXPORT rushlight LIBRARY COMPONENT library NAMELINK_COMPONENT development)
install(TARGETS rushlight_library EXPORT rushlight-static ARCHIVE COMPONENT development)
install(DIRECTORY include/rushlight ${RUSHLIGHT_MADE_HEADERS}/rushlight TYPE INCLUDE COMPONENT development FILES_MATCHING PATTERN *.h)

# ---- how it is found: CMake, pkg-config ----------------------------------------------------------------
set(cmake_folder ${CMAKE_INSTALL_LIBDIR}/cmake/rushlight)
foreach(set rushlight rushlight-static)
  install(EXPORT ${set} FILE ${set}-targets.cmake NAMESPACE rushlight:: DESTINATION ${cmake_folder}
          COMPONENT development)
endforeach()
configure_package_config_file(${package_source}/rushlight-config.cmake.in ${package}/rushlight-config.cmake
                              INSTALL_DESTINATION ${cmake_folder})
write_basic_package_version_file(${package}/rushlight-config-version.cmake COMPATIBILITY ${compatibility})
install(FILES ${package}/rushlight-config.cmake ${package}/rushlight-config-version.cmake
        DESTINATION ${cmake_folder} COMPONENT development)

# The file says where things are from where it stands itself, so that the whole may be moved.
foreach(place PREFIX FULL_LIBDIR FULL_INCLUDEDIR)
  file(RELATIVE_PATH pc_${place} ${CMAKE_INSTALL_FULL_LIBDIR}/pkgconfig ${CMAKE_INSTALL_${place}})
  string(REGEX REPLACE "/$" "" pc_${place} ${pc_${place}})
endforeach()
configure_file(${package_source}/rushlight.pc.in ${package}/rushlight.pc @ONLY)
install(FILES ${package}/rushlight.pc DESTINATION ${CMAKE_INSTALL_LIBDIR}/pkgconfig COMPONENT development)

# ---- the program and its papers ------------------------------------------------------------------------
add_executable(rush_papers src/cli/papers.c src/cli/manual.c src/cli/completions_bash.c
               src/cli/completions_fish.c src/cli/completions_zsh.c)
target_compile_definitions(rush_papers PRIVATE RUSHLIGHT_RELEASED="${RUSHLIGHT_RELEASED}")
target_link_libraries(rush_papers PRIVATE rush_commands rush_flags)
set(papers "")
function(rush_paper kind file folder)
  add_custom_command(OUTPUT ${package}/${file} COMMAND rush_papers ${kind} > ${package}/${file}
                     DEPENDS rush_papers VERBATIM)
  install(FILES ${package}/${file} DESTINATION ${folder} COMPONENT program)
  set(papers ${papers} ${package}/${file} PARENT_SCOPE)
endfunction()
rush_paper(man rushlight.1 ${CMAKE_INSTALL_MANDIR}/man1)
rush_paper(bash rushlight ${CMAKE_INSTALL_DATADIR}/bash-completion/completions)
rush_paper(zsh _rushlight ${CMAKE_INSTALL_DATADIR}/zsh/site-functions)
rush_paper(fish rushlight.fish ${CMAKE_INSTALL_DATADIR}/fish/vendor_completions.d)
add_custom_target(papers ALL DEPENDS ${papers})

install(TARGETS rushlight COMPONENT program)
install(DIRECTORY keys DESTINATION ${CMAKE_INSTALL_DATADIR}/rushlight COMPONENT program)
install(FILES README.md LICENSE TYPE DOC COMPONENT program)
install(FILES demo/name_one.c DESTINATION ${CMAKE_INSTALL_DOCDIR}/examples COMPONENT development)
