// SPDX-License-Identifier: GPL-3.0-or-later
#include "scan/exiv2_session.hpp"

#include <exiv2/exiv2.hpp>

namespace basefog::scan {

std::unique_lock<std::mutex> exiv2_session() {
  static std::mutex one_at_a_time;
  std::unique_lock lock(one_at_a_time);
  static const bool ready = [] {
    Exiv2::LogMsg::setLevel(Exiv2::LogMsg::mute);
    return Exiv2::XmpParser::initialize();
  }();
  static_cast<void>(ready);
  return lock;
}

}  // namespace basefog::scan
