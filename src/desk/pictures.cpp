// SPDX-License-Identifier: GPL-3.0-or-later
#include "desk/pictures.hpp"

#include <fmt/format.h>

#include <algorithm>
#include <array>
#include <bit>
#include <charconv>
#include <cmath>
#include <cstdint>
#include <utility>

#include "basefog/roll/frame_pictures.hpp"
#include "print/jpeg_writer.hpp"

namespace basefog::desk {
namespace {

enum class Kind { straight, corrected, scan };

/// As the report has them. The corrected print is fetched only when it is opened, and its scan then
/// read again for it; the straight ones are looked at together and come from what was kept.
struct KindText {
  const char* name;
  int side;  ///< long side, pixels
};
constexpr std::array kKinds{KindText{"straight", 400}, KindText{"corrected", page::kOpenedSide},
                            KindText{"scan", 320}};
constexpr int kQuality = 80;

KindText text_of(Kind kind) { return kKinds.at(static_cast<std::size_t>(kind)); }

/// FNV-1a over what a picture is made of.
class Stamp {
 public:
  void add(std::uint64_t value) {
    for (int i = 0; i < 8; ++i) {
      hash_ = (hash_ ^ ((value >> (8 * i)) & 0xffU)) * 0x100000001b3U;
    }
  }
  void add(double value) { add(std::bit_cast<std::uint64_t>(value)); }
  void add(std::string_view text) {
    for (const char c : text) add(static_cast<std::uint64_t>(static_cast<unsigned char>(c)));
  }
  std::uint64_t value() const { return hash_; }

 private:
  std::uint64_t hash_ = 0xcbf29ce484222325U;
};

std::uint64_t stamp_of(const roll::FrameResult& frame, const print::PrintSetup& setup, Kind kind) {
  Stamp stamp;
  const density::NegativePicture& picture =
      kind == Kind::scan ? frame.measurement.overview : frame.measurement.negative;
  stamp.add(frame.measurement.file.native());
  stamp.add(static_cast<std::uint64_t>(frame.measurement.index));
  stamp.add(static_cast<std::uint64_t>(picture.width));
  for (std::size_t i = 0; i < picture.millidensity.size(); i += 97) {
    stamp.add(static_cast<std::uint64_t>(picture.millidensity[i]));
  }
  if (kind == Kind::scan) return stamp.value();
  for (const Density density : frame.reference.density) stamp.add(density.value());
  for (const auto* values : {&setup.aim_density, &setup.gradient, &setup.balance}) {
    for (const double value : *values) stamp.add(value);
  }
  return stamp.value();
}

/// Whether print::print or print::as_scanned would give one.
bool can_be_made(const roll::FrameResult& frame, Kind kind) {
  const density::FrameMeasurement& m = frame.measurement;
  if (kind == Kind::scan) return m.overview.width > 0;
  const bool negative = frame.state != density::FrameState::positive &&
                        frame.state != density::FrameState::blank && m.negative.width > 0;
  return negative && (kind == Kind::corrected || frame.reference.has_zero(m.negative.channels));
}

/// Width and height of the picture that a print is reduced from.
std::pair<int, int> size_of(const roll::Analysis& analysis, std::size_t place, Kind kind) {
  const density::FrameMeasurement& m = analysis.frames[place].measurement;
  if (kind == Kind::scan) return {m.overview.width, m.overview.height};
  if (kind == Kind::straight) return {m.negative.width, m.negative.height};
  const roll::LargerPicture size = roll::larger_picture(analysis, place, page::kOpenedSide);
  return {size.width, size.height};
}

std::optional<page::EncodedImage> address_of(const roll::Analysis& analysis, std::size_t place,
                                             const print::PrintSetup& setup, Kind kind) {
  const roll::FrameResult& frame = analysis.frames[place];
  if (!can_be_made(frame, kind)) return std::nullopt;
  const auto [width, height] = size_of(analysis, place, kind);
  const auto [name, side] = text_of(kind);
  const double scale = std::min(1.0, static_cast<double>(side) / std::max(width, height));
  const auto scaled = [scale](int length) {
    return std::max(1, static_cast<int>(std::lround(length * scale)));
  };
  return page::EncodedImage{
      fmt::format("picture/{}/{}/{:016x}", place, name, stamp_of(frame, setup, kind)),
      scaled(width), scaled(height)};
}

std::optional<print::Positive> made(const roll::Analysis& analysis, std::size_t place,
                                    const print::PrintSetup& setup, Kind kind) {
  const roll::FrameResult& frame = analysis.frames[place];
  switch (kind) {
    case Kind::scan:
      return print::as_scanned(frame.measurement.overview);
    case Kind::straight:
      return print::print<std::uint8_t>(frame, setup, print::ProofStyle::straight);
    case Kind::corrected:
      break;
  }
  return print::print<std::uint8_t>(frame,
                                    roll::picture_of_frame(analysis, place, page::kOpenedSide),
                                    setup, print::ProofStyle::corrected);
}

}  // namespace

std::vector<page::FrameImages> picture_addresses(const roll::Analysis& analysis,
                                                 const print::PrintSetup& setup) {
  std::vector<page::FrameImages> images;
  for (std::size_t i = 0; i < analysis.frames.size(); ++i) {
    images.push_back({.straight = address_of(analysis, i, setup, Kind::straight),
                      .corrected = address_of(analysis, i, setup, Kind::corrected),
                      .scan = address_of(analysis, i, setup, Kind::scan)});
  }
  return images;
}

std::optional<std::string> picture_at(std::string_view address, const roll::Analysis& analysis,
                                      const print::PrintSetup& setup) {
  constexpr std::string_view kBefore = "picture/";
  if (!address.starts_with(kBefore)) return std::nullopt;
  std::size_t place = 0;
  const std::string_view number = address.substr(kBefore.size());
  const auto [end, error] = std::from_chars(number.data(), number.data() + number.size(), place);
  if (error != std::errc{} || place >= analysis.frames.size()) return std::nullopt;
  for (const Kind kind : {Kind::straight, Kind::corrected, Kind::scan}) {
    const auto image = address_of(analysis, place, setup, kind);
    if (!image || image->source != address) continue;
    const auto positive = made(analysis, place, setup, kind);
    if (!positive) return std::nullopt;
    const std::vector<std::uint8_t> bytes =
        print::encode_jpeg(print::reduced(*positive, text_of(kind).side), kQuality);
    return std::string(bytes.begin(), bytes.end());
  }
  return std::nullopt;
}

}  // namespace basefog::desk
