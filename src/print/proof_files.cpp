// SPDX-License-Identifier: GPL-3.0-or-later
#include <fmt/format.h>

#include <algorithm>
#include <map>
#include <mutex>

#include "basefog/core/error.hpp"
#include "basefog/core/version.hpp"
#include "basefog/print/proof.hpp"
#include "basefog/roll/frame_pictures.hpp"
#include "core/whole_file.hpp"
#include "print/contact_sheet.hpp"
#include "print/icc_profile.hpp"
#include "print/jpeg_writer.hpp"
#include "print/proof.hpp"
#include "print/tiff_writer.hpp"

namespace basefog::print {
namespace {

constexpr int kLeastSide = 64;
/// Of one proof on a contact sheet, pixels.
constexpr int kMostSheetSide = 480;

const char* extension(ProofFormat format) { return format == ProofFormat::jpeg ? "jpg" : "tif"; }

/// What every file says of itself.
std::string description(ProofStyle style, bool colour) {
  return std::string("A proof from measured densities, not a finished print; ") +
         (style == ProofStyle::straight ? "straight, the same exposure for all frames of the roll"
                                        : "corrected, exposure and grade chosen for the frame") +
         (colour ? "; colour balanced on base and roll" : "") + ". basefog " + kVersion;
}

/// colour: a proof in it was printed in three channels; a sheet always has three.
std::string file_of(const Positive& picture, bool colour, const ProofOptions& options) {
  const std::vector<std::uint8_t> bytes =
      encode_jpeg(picture, options.jpeg_quality, srgb_profile(picture.channels),
                  description(options.style, colour));
  return {bytes.begin(), bytes.end()};
}

std::string file_of(const DeepPositive& picture, bool colour, const ProofOptions& options) {
  return encode_tiff(picture, srgb_profile(picture.channels), description(options.style, colour));
}

template <class Sample>
std::string printed_file(const roll::FrameResult& frame, const density::NegativePicture& picture,
                         const PrintSetup& setup, const ProofOptions& options) {
  const auto printed = print<Sample>(frame, picture, setup, options.style);
  if (!printed) return "";
  return file_of(reduced(*printed, options.long_side), printed->channels == 3, options);
}

/// The encoded proof of a frame; empty where it cannot be printed.
std::string proof_file(const roll::FrameResult& frame, const density::NegativePicture& picture,
                       const PrintSetup& setup, const ProofOptions& options) {
  return options.format == ProofFormat::jpeg
             ? printed_file<std::uint8_t>(frame, picture, setup, options)
             : printed_file<std::uint16_t>(frame, picture, setup, options);
}

/// Letters, digits, '-' and '_' of a frame's name, with numbers of two digits so that files sort;
/// names come from files and labels, and must not lead out of the folder.
std::string file_stem(const std::string& name) {
  std::string safe;
  for (char c : name) {
    const bool kept = (c >= '0' && c <= '9') || (c >= 'a' && c <= 'z') || (c >= 'A' && c <= 'Z') ||
                      c == '-' || c == '_';
    safe += kept ? c : '_';
  }
  const std::size_t digits = std::min(safe.find_first_not_of("0123456789"), safe.size());
  return digits == 1 ? "0" + safe : safe;
}

/// Leaves room for a number and the ending in a file's name.
constexpr std::size_t kLongestStem = 200;

void check(const ProofOptions& options, const std::filesystem::path& path) {
  const std::string problem = options.validate();
  if (!problem.empty()) {
    throw InputError(ErrorCode::usage, path, "cannot be written: " + problem,
                     "change the options of the proof");
  }
}

/// "roll7_10": as the scan of the frame is called, and where a scan holds several frames, the
/// frame's label after it, or its place.
std::string stem_of(const density::FrameMeasurement& frame, bool alone) {
  const std::string scan = frame.file.stem().string();
  if (alone) return name_within(scan, kLongestStem);
  const std::string label = frame.label.empty() ? std::to_string(frame.index + 1) : frame.label;
  return name_within(scan + "_" + file_stem(label), kLongestStem);
}

/// Where each frame's proof goes; no two to one place.
std::vector<std::filesystem::path> proof_paths(const std::filesystem::path& folder,
                                               const roll::Analysis& analysis,
                                               const ProofOptions& options) {
  std::map<std::filesystem::path, int> on_scan;
  for (const roll::FrameResult& frame : analysis.frames) ++on_scan[frame.measurement.file];
  const std::string ending = std::string(".") + extension(options.format);
  std::vector<std::filesystem::path> paths;
  for (std::size_t i = 0; i < analysis.frames.size(); ++i) {
    const roll::FrameResult& frame = analysis.frames[i];
    std::string stem = stem_of(frame.measurement, on_scan[frame.measurement.file] == 1);
    while (std::ranges::find(paths, folder / (stem + ending)) != paths.end()) {
      stem += fmt::format("_{}", i + 1);
    }
    paths.push_back(folder / (stem + ending));
  }
  return paths;
}

template <class Sample>
std::string sheet_file(const roll::Analysis& analysis, const ProofOptions& options) {
  const ContactSheet sheet =
      contact_sheet(analysis, options.style, std::min(options.long_side, kMostSheetSide),
                    [&](bool colour) { return description(options.style, colour); });
  BasicPositive<Sample> picture{sheet.picture.width, sheet.picture.height, 3, {}};
  picture.samples.reserve(sheet.picture.samples.size());
  // 8-bit white becomes 16-bit white: 65535 = 257 * 255.
  constexpr unsigned kScale = sizeof(Sample) == 2 ? 257 : 1;
  for (const std::uint8_t code : sheet.picture.samples) {
    picture.samples.push_back(static_cast<Sample>(kScale * code));
  }
  return file_of(picture, sheet.colour, options);
}

}  // namespace

std::string ProofOptions::validate() const {
  if (long_side < kLeastSide) {
    return fmt::format("the long side must be {} pixels or more", kLeastSide);
  }
  if (jpeg_quality < 1 || jpeg_quality > 100) return "the JPEG quality must be from 1 to 100";
  return "";
}

std::vector<std::filesystem::path> write_proofs(const std::filesystem::path& folder,
                                                const roll::Analysis& analysis,
                                                const ProofOptions& options) {
  check(options, folder);
  const PrintSetup setup = print_setup(analysis);
  const std::vector<std::filesystem::path> paths = proof_paths(folder, analysis, options);
  std::vector<std::filesystem::path> written;
  std::mutex written_lock;
  roll::for_each_picture(
      analysis, options.long_side, [&](std::size_t i, const density::NegativePicture& picture) {
        const std::string content = proof_file(analysis.frames[i], picture, setup, options);
        if (content.empty()) return;
        write_whole_file(paths[i], content);
        const std::lock_guard lock(written_lock);
        written.push_back(paths[i]);
      });
  std::ranges::sort(written, {}, [&](const auto& path) { return std::ranges::find(paths, path); });
  return written;
}

void write_contact_sheet(const std::filesystem::path& file, const roll::Analysis& analysis,
                         const ProofOptions& options) {
  check(options, file);
  write_whole_file(file, options.format == ProofFormat::jpeg
                             ? sheet_file<std::uint8_t>(analysis, options)
                             : sheet_file<std::uint16_t>(analysis, options));
}

}  // namespace basefog::print
