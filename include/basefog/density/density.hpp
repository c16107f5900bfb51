// SPDX-License-Identifier: GPL-3.0-or-later
#pragma once

#include <cstdint>
#include <string>
#include <vector>

#include "basefog/area/film_area.hpp"
#include "basefog/core/units.hpp"
#include "basefog/density/film_base.hpp"
#include "basefog/scan/scan.hpp"

namespace basefog::density {

/// A frame as a densitometer would read it: the density of each measuring aperture, a square of
/// 1/72 of the frame's long side (0.5 mm on 36 mm). Transmittance is averaged within an aperture,
/// then made a density. The outermost apertures are inset so that none touches the frame's edge.
/// Samples are planar: index(c, x, y) = (c * rows + y) * columns + x.
struct ApertureGrid {
  int columns = 0;   ///< apertures across the frame
  int rows = 0;      ///< apertures down the frame
  int channels = 0;  ///< 1 gray, 3 red, green, blue
  /// Against the scan's full scale, as under the light of the scan's centre; as Density::value().
  std::vector<float> density;
  std::vector<float> sigma;    ///< standard deviation of the aperture's mean density
  std::vector<float> clipped;  ///< share of pixels at the white limit, 0 to 1
  std::vector<float> floored;  ///< share of pixels at the black limit, 0 to 1

  /// Place of an aperture's number in each array; nothing is checked.
  std::size_t index(int channel, int x, int y) const {
    return (static_cast<std::size_t>(channel) * rows + y) * columns + x;
  }

  /// All densities of one channel.
  std::vector<float> densities(int channel) const {
    const auto place = [&](int c) { return static_cast<std::ptrdiff_t>(index(c, 0, 0)); };
    return {density.begin() + place(channel), density.begin() + place(channel + 1)};
  }
};

/// Long side of the pictures that are kept of each frame, pixels, unless more is asked for.
inline constexpr int kPictureSide = 720;

/// A reduced picture of the negative for proofs: density against full scale in steps of 1/1000,
/// planar as ApertureGrid, long side at most what measure_frames was asked for.
struct NegativePicture {
  int width = 0;                            ///< pixels
  int height = 0;                           ///< pixels
  int channels = 0;                         ///< 1 gray, 3 red, green, blue
  std::vector<std::uint16_t> millidensity;  ///< 0 to 65535; what is denser is 65535
};

/// What became of a frame.
enum class FrameState {
  measured,      ///< its densities are known; in a FrameResult their zero too
  blank,         ///< clear film: no picture was taken
  no_reference,  ///< measured, but no density zero was found for it
  positive,      ///< the scan was inverted, or is of a slide
  unreadable,    ///< the file gave no picture
};
constexpr FrameState last_of(FrameState) { return FrameState::unreadable; }
std::string_view name_of(FrameState state);  ///< as in JSON

/// Everything that is kept of one frame on one scan: a pure function of the file and the options.
struct FrameMeasurement {
  std::filesystem::path file;  ///< the scan
  std::string label;           ///< from the file's name where the scan has one frame; else empty
  int index = 0;               ///< place in the file, from 0
  area::FrameRegion region;    ///< on the scan, pixels
  bool edges_found = false;    ///< else `region` is the whole scan, or what its mask leaves open
  ApertureGrid apertures;      ///< empty only where the file was unreadable
  /// Clear film in the same scan; kind none where there is none.
  FilmBase rebate;
  /// Density, per channel, beyond which the scan does not read: its own range or its calibration
  /// ends.
  std::vector<Density> densest;
  NegativePicture negative;     ///< the frame alone
  NegativePicture overview;     ///< the whole scan, long side at most 360, to show the found region
  response::Response response;  ///< as which codes were read
  scan::ScanMetadata metadata;  ///< of the file, the same for all its frames
  int scan_width = 0;           ///< pixels
  int scan_height = 0;          ///< pixels
  int bits_per_sample = 16;     ///< of the file
  bool light_known = false;     ///< as in Scan: full scale is the bare light
  /// What the scan alone says: measured (densities are there), blank, positive or unreadable.
  FrameState state = FrameState::measured;
  FlagSet flags;  ///< of the scan and of this frame
};

/// Measures every frame of a scan that was read. Pictures for proofs have a long side of at most
/// picture_side pixels, and no more detail than the scan's blocks (ReadOptions::most_blocks).
std::vector<FrameMeasurement> measure_frames(const scan::Scan& scan, const area::FilmLayout& layout,
                                             int picture_side = kPictureSide);

/// Whether nothing on a frame is denser than base + fog by 0.05: clear film. False without a base.
bool shows_nothing(const FrameMeasurement& frame, const FilmBase& base);

/// Base + fog from a scan of clear film alone, kind base_scan: per channel the median over its
/// apertures, with their scatter as sigma. Throws InputError (malformed) where the frame is not
/// of one density all over, as something was exposed there.
FilmBase base_of_clear_film(const FrameMeasurement& frame);

/// Net density of one aperture: its density minus base + fog in the same channel.
NetDensity net_density(const ApertureGrid& grid, const FilmBase& base, int channel, int x, int y);

}  // namespace basefog::density
