# Run by cpack over the packages that it has made: the library's own trigger runs ldconfig, so the scripts that cpack
# adds to do the same are taken out (policy, chapter 8.1.1).
foreach(file IN LISTS CPACK_PACKAGE_FILES)
  get_filename_component(name ${file} NAME)
  if(name MATCHES "^${CPACK_DEBIAN_LIBRARY_PACKAGE_NAME}_")
    set(folder ${CPACK_TEMPORARY_DIRECTORY}/without-scripts)
    file(REMOVE_RECURSE ${folder})
    execute_process(COMMAND dpkg-deb --raw-extract ${file} ${folder} COMMAND_ERROR_IS_FATAL ANY)
    file(REMOVE ${folder}/DEBIAN/postinst ${folder}/DEBIAN/postrm)
    execute_process(COMMAND dpkg-deb --root-owner-group --build ${folder} ${file} OUTPUT_QUIET
                    COMMAND_ERROR_IS_FATAL ANY)
  endif()
endforeach()
