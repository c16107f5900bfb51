// SPDX-License-Identifier: GPL-3.0-or-later
// The files of a scanner calibration: tables of steps, codes and patches in, the response file out.
#include <fmt/format.h>

#include <algorithm>
#include <charconv>
#include <cmath>
#include <limits>
#include <sstream>
#include <string>
#include <string_view>

#include "basefog/error.hpp"
#include "basefog/limits.hpp"
#include "basefog/scanner_calibration.hpp"
#include "core/text_file.hpp"
#include "core/whole_file.hpp"
#include "scan/response_file.hpp"

namespace basefog {
namespace {

namespace fs = std::filesystem;

/// Codes in response files are written in units of 16 bits.
constexpr double kFileScale = 65535;
constexpr std::size_t kMostRows = 1000;

[[noreturn]] void malformed(const fs::path& path, std::string problem) {
  throw InputError(ErrorCode::malformed, path, std::move(problem),
                   "write one step a line, numbers with a decimal point, a comma between them");
}

std::optional<double> number(std::string_view text) {
  while (!text.empty() && (text.front() == ' ' || text.front() == '"')) text.remove_prefix(1);
  while (!text.empty() && (text.back() == ' ' || text.back() == '"')) text.remove_suffix(1);
  if (text.starts_with('+')) text.remove_prefix(1);
  double value = 0;
  const auto [end, error] = std::from_chars(text.data(), text.data() + text.size(), value);
  if (error != std::errc() || end != text.data() + text.size() || !std::isfinite(value)) {
    return std::nullopt;
  }
  return value;
}

/// The numbers of a line between commas, semicolons or tabs; absent where one is not a number.
std::optional<std::vector<double>> numbers_of(std::string_view line) {
  std::vector<double> numbers;
  for (std::size_t start = 0; start <= line.size();) {
    const std::size_t end = std::min(line.find_first_of(",;\t", start), line.size());
    const auto value = number(line.substr(start, end - start));
    if (!value) return std::nullopt;
    numbers.push_back(*value);
    start = end + 1;
  }
  return numbers;
}

/// All rows of numbers in a file; the first line may be words, lines of nothing or # are left out.
std::vector<std::vector<double>> read_rows(const fs::path& path) {
  std::istringstream in(read_text_file(path, {"a table of steps", limits::kMostSettingsBytes}));
  constexpr std::string_view kByteOrderMark = "\xEF\xBB\xBF";
  std::vector<std::vector<double>> rows;
  std::string text;
  bool head_allowed = true;
  for (int line = 1; std::getline(in, text); ++line) {
    std::string_view content = text;
    if (line == 1 && content.starts_with(kByteOrderMark)) content.remove_prefix(3);
    content = content.substr(0, content.find('#'));
    const auto last = content.find_last_not_of(" \t\r");
    if (last == std::string_view::npos) continue;
    content = content.substr(0, last + 1);
    const auto numbers = numbers_of(content);
    if (!numbers && !head_allowed) malformed(path, fmt::format("line {} is not numbers", line));
    head_allowed = false;
    if (!numbers) continue;
    if (!rows.empty() && numbers->size() != rows.front().size()) {
      malformed(path, fmt::format("line {} has {} numbers where the first has {}", line,
                                  numbers->size(), rows.front().size()));
    }
    rows.push_back(*numbers);
    if (rows.size() > kMostRows) malformed(path, "has too many lines for a step tablet");
  }
  if (rows.empty()) malformed(path, "has no line of numbers");
  return rows;
}

ResponseChannel file_channel(const ScannerCalibration& calibration, std::size_t index) {
  const ChannelCalibration& from = calibration.channels[index];
  ResponseChannel to;
  to.fit = {{"black", from.black * kFileScale},
            {"scale", from.scale * kFileScale},
            {"exponent", from.exponent},
            {"flare", from.flare},
            {"residual_rms", from.rms_residual.value()},
            {"residual_worst", from.worst_residual.value()},
            {"lightest", from.lightest.value()},
            {"densest_usable", from.densest.value()}};
  for (std::size_t i = 0; i < calibration.patches.size(); ++i) {
    const TabletPatch& patch = calibration.patches[i];
    const auto& residual = from.residuals[i];
    to.steps.push_back({patch.codes[index].mean * kFileScale, patch.density.value(),
                        residual ? residual->value() : std::numeric_limits<double>::quiet_NaN()});
  }
  for (const auto& point : from.curve) {
    to.curve.push_back({point.code * kFileScale, point.density.value()});
  }
  return to;
}

ResponseFile file_of(const ScannerCalibration& calibration) {
  ResponseFile file;
  file.source = calibration.source;
  file.full_scale = kFileScale;
  file.relative_sigma = calibration.relative_sigma;
  for (std::size_t c = 0; c < calibration.channels.size(); ++c) {
    file.densest = std::min(file.densest, calibration.channels[c].densest.value());
    file.channels.push_back(file_channel(calibration, c));
  }
  return file;
}

}  // namespace

Response response_of(const ScannerCalibration& calibration) {
  return response_of(file_of(calibration));
}

void write_response_file(const fs::path& path, const ScannerCalibration& calibration) {
  write_whole_file(path, text_of(file_of(calibration)));
}

std::vector<Density> read_step_densities(const fs::path& path) {
  std::vector<Density> densities;
  for (const std::vector<double>& row : read_rows(path)) {
    if (row.size() > 2) malformed(path, "has more than a step's number and its density on a line");
    densities.push_back(Density::from_value(row.back()));
    if (densities.size() > 1 && !(densities.back() > densities[densities.size() - 2])) {
      malformed(path, fmt::format("density {:g} is not above the one before it", row.back()));
    }
  }
  return densities;
}

std::vector<TabletPatch> read_patch_codes(const fs::path& path, double full_scale) {
  std::vector<TabletPatch> patches;
  for (const std::vector<double>& row : read_rows(path)) {
    if (row.size() != 2 && row.size() != 4) {
      malformed(path, "has lines that are neither code,density nor red,green,blue,density");
    }
    TabletPatch patch;
    patch.density = Density::from_value(row.back());
    for (std::size_t c = 0; c + 1 < row.size(); ++c) {
      if (row[c] < 0 || row[c] > full_scale) {
        malformed(path, fmt::format("code {:g} is not between 0 and {:g}", row[c], full_scale));
      }
      PatchCode code;
      code.mean = row[c] / full_scale;
      code.clipped = row[c] >= full_scale;
      patch.codes.push_back(code);
    }
    patches.push_back(std::move(patch));
  }
  return patches;
}

std::vector<PatchRegion> read_patch_regions(const fs::path& path) {
  std::vector<PatchRegion> regions;
  for (const std::vector<double>& row : read_rows(path)) {
    if (row.size() != 4 || !(row[2] > 0) || !(row[3] > 0)) {
      malformed(path, "has lines that are not x,y,width,height");
    }
    regions.push_back({row[0] + row[2] / 2, row[1] + row[3] / 2, row[2], row[3], 0});
  }
  return regions;
}

}  // namespace basefog
