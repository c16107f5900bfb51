// SPDX-License-Identifier: GPL-3.0-or-later
#include <fmt/format.h>

#include <algorithm>

#include "basefog/response/response.hpp"
#include "report/wording.hpp"

namespace basefog::report {
namespace {

/// "; the embedded profile is damaged": what follows on an assumed response; may be empty.
std::string profile_fault_text(const response::ResponseSource& source) {
  using response::ProfileFault;
  switch (source.profile_fault) {
    case ProfileFault::none:
      break;
    case ProfileFault::damaged:
      return "; the embedded profile is damaged";
    case ProfileFault::other_space:
      return "; the embedded profile is for '" + source.profile_space +
             "', not for gray or RGB pictures";
    case ProfileFault::no_curve:
      return "; the embedded profile has no tone curve that can be read";
    case ProfileFault::falling:
      return "; the embedded profile's tone curve does not rise with the code";
  }
  return "";
}

}  // namespace

std::string response_text(const response::ResponseSource& source) {
  using response::SourceKind;
  const std::string assumed_end = profile_fault_text(source);
  switch (source.kind) {
    case SourceKind::option:
      return "--response " + source.name;
    case SourceKind::response_file:
      return "response file " + source.name +
             (source.detail.empty() ? "" : " (" + source.detail + ")");
    case SourceKind::profile:
      return source.name.empty() ? "embedded profile" : "profile '" + source.name + "'";
    case SourceKind::exif:
      return source.name + ", declared in Exif";
    case SourceKind::png:
      return source.name + ", declared in the PNG";
    case SourceKind::sensor:
      return "raw sensor values";
    case SourceKind::assumed_tiff:
      return "linear, assumed: a TIFF without a usable profile" + assumed_end;
    case SourceKind::assumed_8bit_tiff:
      return "sRGB, assumed: an 8-bit TIFF without a usable profile" + assumed_end;
    case SourceKind::assumed_jpeg:
      return "sRGB, assumed: a JPEG without a usable profile or colour space" + assumed_end;
    case SourceKind::assumed_png:
      return "sRGB, assumed: a PNG without a usable profile, sRGB or gAMA chunk" + assumed_end;
    case SourceKind::inferred_tiff:
      return "sRGB: nothing in the file says so, but the roll's densities show a tone curve";
    case SourceKind::recorded:
      return source.name;
  }
  return "";
}

std::string crc32_text(const density::FileSum& sum) { return fmt::format("{:08x}", sum.crc32); }

const density::FileSum* sum_of(const roll::Analysis& analysis, const std::filesystem::path& scan) {
  const auto same = std::ranges::find_if(analysis.inputs, [&scan](const roll::InputFile& input) {
    return input.role == "scan" && input.path == scan;
  });
  return same == analysis.inputs.end() || !same->sum ? nullptr : &*same->sum;
}

std::vector<std::string> stated_texts(const roll::Analysis& analysis) {
  std::vector<std::string> texts;
  for (const auto& [name, value] : analysis.stated) {
    texts.push_back(std::string(name).append(" ").append(value));
  }
  return texts;
}

}  // namespace basefog::report
