// SPDX-License-Identifier: GPL-3.0-or-later
#pragma once

// BASEFOG_WIDE_LOOP before a function builds it twice, for every machine and for those with wider
// registers; the better one is taken at start. Both give the same bits: AVX2 alone fuses nothing.
#if defined(__x86_64__) && defined(__GNUC__) && !defined(__clang__) && \
    !defined(__SANITIZE_ADDRESS__) && !defined(__SANITIZE_THREAD__)
#define BASEFOG_WIDE_LOOP __attribute__((target_clones("avx2", "default")))
#else
#define BASEFOG_WIDE_LOOP
#endif
