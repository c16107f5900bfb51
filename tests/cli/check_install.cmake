# SPDX-License-Identifier: GPL-3.0-or-later
# Installs the program under WORK and looks for manual, completions and schemas there.
file(REMOVE_RECURSE ${WORK})
execute_process(COMMAND ${CMAKE_COMMAND} --install ${BUILD} --component program --prefix ${WORK}
                OUTPUT_QUIET COMMAND_ERROR_IS_FATAL ANY)
foreach(name man/man1/basefog.1 man/man5/basefog-camera.5 man/man7/basefog-flags.7
        bash-completion/completions/basefog zsh/site-functions/_basefog
        fish/vendor_completions.d/basefog.fish basefog/schemas/review-1.json
        metainfo/basefog.metainfo.xml)
  file(SIZE ${WORK}/share/${name} size)
  if(size LESS 500)
    message(FATAL_ERROR "${name} was installed with ${size} bytes")
  endif()
endforeach()
execute_process(COMMAND ${WORK}/bin/basefog --version COMMAND_ERROR_IS_FATAL ANY)
