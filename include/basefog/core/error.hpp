// SPDX-License-Identifier: GPL-3.0-or-later
#pragma once

#include <filesystem>
#include <stdexcept>
#include <string>

namespace basefog {

/// Why an input could not be used at all. What can be used with care is a Flag, what was not
/// measured is an empty optional.
enum class ErrorCode {
  not_found,     ///< no such file or folder
  no_scans,      ///< the files and folders named hold no scans
  unreadable,    ///< no permission, truncated, damaged, or over a stated limit
  unsupported,   ///< a known kind of file or encoding that basefog does not take
  malformed,     ///< a text file (log, profile, response) that does not say what it must
  not_writable,  ///< an output that could not be written
  usage,         ///< options that contradict each other
};

/// The one exception at the library's border. what() is "FILE: what is wrong; next step".
class InputError : public std::runtime_error {
 public:
  /// problem and next_step are sentences without a final stop: "is cut short", "scan it again".
  InputError(ErrorCode code, std::filesystem::path path, std::string problem,
             std::string next_step);

  ErrorCode code() const { return code_; }  ///< what kind of fault
  /// The file, folder or option at fault.
  const std::filesystem::path& path() const { return path_; }
  const std::string& problem() const { return problem_; }      ///< what is wrong with it
  const std::string& next_step() const { return next_step_; }  ///< what to do about it

 private:
  ErrorCode code_;
  std::filesystem::path path_;
  std::string problem_;
  std::string next_step_;
};

}  // namespace basefog
