// SPDX-License-Identifier: GPL-3.0-or-later
#pragma once

#include <functional>
#include <string>

#include "basefog/print/proof.hpp"
#include "print/proof.hpp"

namespace basefog::print {

struct ContactSheet {
  Positive picture;     ///< three channels
  bool colour = false;  ///< a proof in it was printed in colour
};

/// The roll as its negatives lie in a sleeve: strips of six on white, proofs of a long side of at
/// most `side` pixels, each with its number on the rebate and what the picture needed below.
/// headline: what stands above all, by whether a proof is in colour. Throws std::runtime_error
/// where cairo has no memory.
ContactSheet contact_sheet(const roll::Analysis& analysis, ProofStyle style, int side,
                           const std::function<std::string(bool colour)>& headline);

}  // namespace basefog::print
