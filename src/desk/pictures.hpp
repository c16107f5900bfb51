// SPDX-License-Identifier: GPL-3.0-or-later
#pragma once

#include <optional>
#include <string>
#include <string_view>
#include <vector>

#include "basefog/roll/analysis.hpp"
#include "page/frame_images.hpp"
#include "print/proof.hpp"

namespace basefog::desk {

/// The pictures of the page as addresses to fetch them at when they are looked at. An address
/// stands for one picture for ever: what it is made of is in it, so that a change of the log
/// leaves those alone that look the same.
std::vector<page::FrameImages> picture_addresses(const roll::Analysis& analysis,
                                                 const print::PrintSetup& setup);

/// The JPEG file of an address that picture_addresses gave; nothing for any other.
std::optional<std::string> picture_at(std::string_view address, const roll::Analysis& analysis,
                                      const print::PrintSetup& setup);

}  // namespace basefog::desk
