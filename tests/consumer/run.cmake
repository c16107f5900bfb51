# SPDX-License-Identifier: GPL-3.0-or-later
# Installs the build into a folder of its own, then configures, builds and runs the consumer.
foreach(step
    "${CMAKE_COMMAND} --install ${BUILD} --prefix ${WORK}/prefix"
    "${CMAKE_COMMAND} -S ${SOURCE} -B ${WORK}/build -G ${GENERATOR} -DCMAKE_PREFIX_PATH=${WORK}/prefix -DCMAKE_CXX_COMPILER=${CXX} -DCMAKE_CXX_FLAGS=${FLAGS}"
    "${CMAKE_COMMAND} --build ${WORK}/build"
    "${WORK}/build/consumer"
    "${WORK}/prefix/bin/basefog --version")
  separate_arguments(step)
  execute_process(COMMAND ${step} COMMAND_ERROR_IS_FATAL ANY)
endforeach()
