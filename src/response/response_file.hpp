// SPDX-License-Identifier: GPL-3.0-or-later
#pragma once

#include <array>
#include <filesystem>
#include <limits>
#include <string>
#include <utility>
#include <vector>

#include "basefog/response/response.hpp"

namespace basefog::response {

/// Film density that a scanner's code stands for. Code in the unit of the file's full scale.
struct CodeDensity {
  double code = 0;
  double density = 0;
};

/// One channel's table, densest last, and what the fit behind it found. Only the table makes the
/// response; fit and steps are for people to read.
struct ResponseChannel {
  std::vector<CodeDensity> curve;  ///< at least 2, codes falling and densities rising
  std::vector<std::pair<std::string, double>> fit;  ///< name, value; in the order to be written
  /// What was measured: code, known density, density read back less the known one (NaN: none).
  std::vector<std::array<double, 3>> steps;
};

/// What a response file says.
struct ResponseFile {
  std::string source;                                        ///< "step tablet, tablet.tif"
  double full_scale = 65535;                                 ///< largest code
  double relative_sigma = 0.02;                              ///< as in Response
  double densest = std::numeric_limits<double>::infinity();  ///< on the tablet's own density scale
  std::vector<ResponseChannel> channels;                     ///< one for all, or red, green, blue
};

/// Reads a response file (TOML, schema "basefog.response/1", keys in response_file_keys.hpp)
/// as written by text_of or by hand. Throws InputError (not_found, unreadable, malformed).
ResponseFile read_response_file(const std::filesystem::path& path);

/// The file's text, to be written with write_whole_file.
std::string text_of(const ResponseFile& file);

/// Response through the tables: density against log10(code) in straight lines, which is exact for
/// any power law; on beyond both ends with the slope there. Light is relative to full scale.
Response response_of(const ResponseFile& file);

}  // namespace basefog::response
