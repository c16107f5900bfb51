// SPDX-License-Identifier: GPL-3.0-or-later
#pragma once

#include <filesystem>
#include <map>
#include <memory>
#include <string>
#include <vector>

namespace basefog {

/// What one run of the program left behind.
struct ProgramRun {
  int status = -1;  ///< exit status; -1 when it ended by a signal
  std::string out;
  std::string err;
};

/// Runs the built program with these words, without a shell, standard input closed. `under`: words
/// of a command that runs the program, such as env.
ProgramRun run_program(const std::vector<std::string>& words,
                       const std::vector<std::string>& under = {});

/// A run that goes on beside the test.
class StartedProgram {
 public:
  StartedProgram(const std::vector<std::string>& words, const std::vector<std::string>& under = {});
  StartedProgram(const StartedProgram&) = delete;
  StartedProgram& operator=(const StartedProgram&) = delete;
  ~StartedProgram();

  /// kill -9.
  void kill() const;
  ProgramRun wait();

 private:
  std::unique_ptr<class TestFolder> folder_;
  int process_ = 0;
};

/// Every file under a folder with its content, by its path from there.
std::map<std::string, std::string> contents_of(const std::filesystem::path& folder);

/// A folder of its own for one test, removed at its end.
class TestFolder {
 public:
  TestFolder();
  TestFolder(const TestFolder&) = delete;
  TestFolder& operator=(const TestFolder&) = delete;
  ~TestFolder();

  std::filesystem::path operator/(const std::string& name) const { return path_ / name; }
  std::string string() const { return path_.string(); }

  /// Writes a text file here.
  std::filesystem::path write(const std::string& name, const std::string& text) const;
  /// Copies a scan of the sample roll here.
  std::filesystem::path copy_sample(const std::string& name) const;
  /// Copies it as a positive: every code c becomes full scale - c.
  std::filesystem::path copy_inverted(const std::string& name) const;
  /// Copies the middle of it, picture alone, no rebate in view.
  std::filesystem::path copy_cropped(const std::string& name) const;
  /// Copies it at twice its width and height.
  std::filesystem::path copy_doubled(const std::string& name) const;

 private:
  std::filesystem::path path_;
};

std::string content_of(const std::filesystem::path& file);

}  // namespace basefog
