// SPDX-License-Identifier: GPL-3.0-or-later
#pragma once

#include "basefog/scan/scan.hpp"
#include "decode/picture.hpp"

namespace basefog::scan {

/// How a picture's codes stand for light, by what is surest: the option, the embedded profile, what
/// the file declares, what its Exif declares, or else an assumption (flagged). A profile that
/// cannot be used is passed over.
response::Response choose_response(const decode::Picture& picture, const ReadOptions& options,
                                   const std::optional<response::Response>& exif, FlagSet& flags);

}  // namespace basefog::scan
