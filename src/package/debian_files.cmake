# Run by cpack over the files that it is about to pack, a folder a component: the manual compressed, completions
# where Debian's zsh looks for them, and in each package the copyright and the changes (policy, chapter 12).
if(CPACK_RUSHLIGHT_WARNING)
  message(WARNING ${CPACK_RUSHLIGHT_WARNING})
endif()
execute_process(COMMAND date -u -R -d ${CPACK_RUSHLIGHT_RELEASED} OUTPUT_VARIABLE date
                OUTPUT_STRIP_TRAILING_WHITESPACE COMMAND_ERROR_IS_FATAL ANY)
foreach(component IN ITEMS PROGRAM LIBRARY DEVELOPMENT)
  string(TOLOWER ${component} folder)
  set(share ${CPACK_TEMPORARY_DIRECTORY}/${folder}${CPACK_PACKAGING_INSTALL_PREFIX}/share)
  set(doc ${share}/doc/${CPACK_DEBIAN_${component}_PACKAGE_NAME})
  if(component STREQUAL DEVELOPMENT)
    file(RENAME ${share}/doc/rushlight ${doc})
  endif()
  configure_file(${CPACK_RUSHLIGHT_LICENSE} ${doc}/copyright COPYONLY)
  file(WRITE ${doc}/changelog "rushlight (${CPACK_PACKAGE_VERSION}) unstable; urgency=medium

  * Version ${CPACK_PACKAGE_VERSION}.

 -- ${CPACK_PACKAGE_CONTACT}  ${date}
")
  execute_process(COMMAND gzip -9nf ${doc}/changelog COMMAND_ERROR_IS_FATAL ANY)
  if(component STREQUAL PROGRAM)
    file(REMOVE ${doc}/LICENSE)
    file(RENAME ${share}/zsh/site-functions ${share}/zsh/vendor-completions)
    execute_process(COMMAND gzip -9nf ${share}/man/man1/rushlight.1 COMMAND_ERROR_IS_FATAL ANY)
  endif()
  # Whatever the mask of whoever packs.
  file(CHMOD_RECURSE ${share} FILE_PERMISSIONS OWNER_READ OWNER_WRITE GROUP_READ WORLD_READ
       DIRECTORY_PERMISSIONS ${CPACK_INSTALL_DEFAULT_DIRECTORY_PERMISSIONS})
endforeach()
