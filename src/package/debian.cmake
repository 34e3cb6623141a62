# The Debian packages: `cpack` in the build folder makes rushlight (the program), librushlightX (the shared
# library) and librushlight-dev (what programs are built with), as Debian's policy (chapter 8) wants them.
# What else that policy wants otherwise than `cmake --install` has it is done by debian_files.cmake and, to the
# packages themselves, debian_scripts.cmake.
set(CPACK_GENERATOR DEB)
set(CPACK_PACKAGE_CONTACT "rushlight maintainers <maintainers@rushlight.example>")
set(CPACK_PACKAGE_VENDOR "rushlight maintainers")
set(CPACK_PACKAGING_INSTALL_PREFIX /usr)
set(CPACK_STRIP_FILES ON)
set(CPACK_INSTALL_DEFAULT_DIRECTORY_PERMISSIONS OWNER_READ OWNER_WRITE OWNER_EXECUTE GROUP_READ GROUP_EXECUTE
    WORLD_READ WORLD_EXECUTE)
set(CPACK_COMPONENTS_ALL program library development)
set(CPACK_COMPONENTS_GROUPING IGNORE)
set(CPACK_DEB_COMPONENT_INSTALL ON)
set(CPACK_DEBIAN_FILE_NAME DEB-DEFAULT)
set(CPACK_DEBIAN_PACKAGE_CONTROL_STRICT_PERMISSION ON)
set(CPACK_PACKAGE_DESCRIPTION_SUMMARY "offline engine for multi-access identification keys")
set(library librushlight${RUSHLIGHT_INTERFACE})

set(about
"Rushlight takes you from a few seconds' view of an insect, some of it
misread, to a name that can be stood behind: species, sex, colour form. It
says which look-alikes are still in play and which mark to look at next, and
says when only the genus, or nothing, is safe. It runs offline, on keys that
are plain text files.
.")
set(CPACK_DEBIAN_PROGRAM_PACKAGE_NAME rushlight)
set(CPACK_DEBIAN_PROGRAM_PACKAGE_SECTION science)
set(CPACK_DEBIAN_PROGRAM_PACKAGE_SHLIBDEPS ON)
set(CPACK_DEBIAN_PROGRAM_DESCRIPTION "${about}
The program keeps sightings as records that others can verify, and is the
bench on which keys are written, tested and published. A key to the adult
dragonflies and damselflies of Britain, Ireland and the near continent is
built in.")
set(CPACK_DEBIAN_LIBRARY_PACKAGE_NAME ${library})
set(CPACK_DEBIAN_LIBRARY_PACKAGE_SECTION libs)
set(CPACK_DEBIAN_LIBRARY_PACKAGE_SHLIBDEPS ON)
set(CPACK_DEBIAN_LIBRARY_DESCRIPTION "${about}
This is the library that programs run with.")
set(CPACK_DEBIAN_DEVELOPMENT_PACKAGE_NAME librushlight-dev)
set(CPACK_DEBIAN_DEVELOPMENT_PACKAGE_SECTION libdevel)
set(CPACK_DEBIAN_DEVELOPMENT_PACKAGE_DEPENDS
    "${library} (= ${PROJECT_VERSION}), libcsv-dev, libexpat1-dev, libjansson-dev, libutf8proc-dev, libyaml-dev, nettle-dev")
set(CPACK_DEBIAN_DEVELOPMENT_DESCRIPTION "${about}
These are the headers, the static library, and the files by which CMake and
pkg-config find them.")

# Who is linked to the library needs its package; that it is there has to be told the system.
file(WRITE ${package}/shlibs "librushlight ${RUSHLIGHT_INTERFACE} ${library} (>= ${PROJECT_VERSION})\n")
file(WRITE ${package}/triggers "activate-noawait ldconfig\n")
set(CPACK_DEBIAN_LIBRARY_PACKAGE_CONTROL_EXTRA ${package}/shlibs ${package}/triggers)

# Where Debian has libraries CMake knows, but only of what is configured for /usr.
if(CMAKE_LIBRARY_ARCHITECTURE AND NOT CMAKE_INSTALL_LIBDIR STREQUAL "lib/${CMAKE_LIBRARY_ARCHITECTURE}")
  set(CPACK_RUSHLIGHT_WARNING "the library is packed in /usr/${CMAKE_INSTALL_LIBDIR}: to have it in \
/usr/lib/${CMAKE_LIBRARY_ARCHITECTURE}, as Debian does, configure with -DCMAKE_INSTALL_PREFIX=/usr")
endif()

set(CPACK_PRE_BUILD_SCRIPTS ${CMAKE_CURRENT_LIST_DIR}/debian_files.cmake)
set(CPACK_POST_BUILD_SCRIPTS ${CMAKE_CURRENT_LIST_DIR}/debian_scripts.cmake)
set(CPACK_RUSHLIGHT_LICENSE ${CMAKE_CURRENT_SOURCE_DIR}/LICENSE)
set(CPACK_RUSHLIGHT_RELEASED ${RUSHLIGHT_RELEASED})
include(CPack)
