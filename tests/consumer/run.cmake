# SPDX-License-Identifier: GPL-3.0-or-later
# Installs the build into a folder of its own, then configures, builds and runs the consumer.
function(run)
  execute_process(COMMAND ${ARGN} COMMAND_ERROR_IS_FATAL ANY)
endfunction()
run(${CMAKE_COMMAND} --install ${BUILD} --prefix ${WORK}/prefix)
run(${CMAKE_COMMAND} -S ${SOURCE} -B ${WORK}/build -G ${GENERATOR}
    -DCMAKE_PREFIX_PATH=${WORK}/prefix -DCMAKE_CXX_COMPILER=${CXX} "-DCMAKE_CXX_FLAGS=${FLAGS}")
run(${CMAKE_COMMAND} --build ${WORK}/build)
run(${WORK}/build/consumer)
# The same without CMake.
file(GLOB_RECURSE pc ${WORK}/prefix/*/basefog.pc)
get_filename_component(pc ${pc} DIRECTORY)
run(sh -c "PKG_CONFIG_PATH='${pc}' && export PKG_CONFIG_PATH && exec '${CXX}' ${FLAGS} -std=c++20 \
    '${SOURCE}/consumer.cpp' -o '${WORK}/consumer' $(pkg-config --cflags --libs basefog)")
run(${WORK}/consumer)
run(${WORK}/prefix/bin/basefog --version)
