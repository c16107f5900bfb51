// SPDX-License-Identifier: GPL-3.0-or-later
#include "print/icc_profile.hpp"

#include <lcms2.h>

#include <algorithm>
#include <array>
#include <memory>
#include <stdexcept>

namespace basefog::print {
namespace {

using Profile = std::unique_ptr<void, decltype(&cmsCloseProfile)>;

/// Bytes 24 to 35 of a profile's header are its date [ICC1, 7.2.8], which Little CMS takes from the
/// clock: 2020-01-01 00:00:00.
constexpr std::size_t kDatePlace = 24;
constexpr std::array<std::uint8_t, 12> kDate{0x07, 0xE4, 0, 1, 0, 1, 0, 0, 0, 0, 0, 0};

Profile gray_profile(const Profile& srgb) {
  const auto* curve = static_cast<const cmsToneCurve*>(cmsReadTag(srgb.get(), cmsSigGreenTRCTag));
  return {cmsCreateGrayProfile(cmsD50_xyY(), curve), cmsCloseProfile};
}

}  // namespace

std::vector<std::uint8_t> srgb_profile(int channels) {
  const Profile srgb(cmsCreate_sRGBProfile(), cmsCloseProfile);
  if (!srgb) throw std::runtime_error("Little CMS made no sRGB profile");
  const Profile gray = gray_profile(srgb);
  const Profile& wanted = channels == 1 ? gray : srgb;
  cmsUInt32Number size = 0;
  if (!wanted || !cmsSaveProfileToMem(wanted.get(), nullptr, &size)) {
    throw std::runtime_error("Little CMS made no profile");
  }
  std::vector<std::uint8_t> bytes(size);
  cmsSaveProfileToMem(wanted.get(), bytes.data(), &size);
  std::copy(kDate.begin(), kDate.end(), bytes.begin() + kDatePlace);
  return bytes;
}

}  // namespace basefog::print
