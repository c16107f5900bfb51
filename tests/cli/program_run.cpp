// SPDX-License-Identifier: GPL-3.0-or-later
#include "cli/program_run.hpp"

#include <fcntl.h>
#include <spawn.h>
#include <sys/wait.h>
#include <tiffio.h>
#include <unistd.h>

#include <algorithm>
#include <atomic>
#include <csignal>
#include <cstdint>
#include <cstdlib>
#include <fstream>
#include <functional>
#include <iterator>
#include <memory>
#include <stdexcept>
#include <utility>

extern char** environ;

namespace basefog {
namespace fs = std::filesystem;
namespace {

const fs::path kSampleRoll = fs::path(BASEFOG_SAMPLES) / "roll";

struct TiffCloser {
  void operator()(TIFF* tiff) const { TIFFClose(tiff); }
};
using Tiff = std::unique_ptr<TIFF, TiffCloser>;

struct Gray16 {
  std::uint32_t width = 0;
  std::uint32_t height = 0;
  std::vector<std::uint16_t> codes;
  std::vector<std::uint8_t> profile;
};

Gray16 read_sample(const std::string& name) {
  const Tiff tiff(TIFFOpen((kSampleRoll / name).c_str(), "r"));
  if (!tiff) throw std::runtime_error("no sample scan " + name);
  Gray16 picture;
  TIFFGetField(tiff.get(), TIFFTAG_IMAGEWIDTH, &picture.width);
  TIFFGetField(tiff.get(), TIFFTAG_IMAGELENGTH, &picture.height);
  picture.codes.resize(std::size_t{picture.width} * picture.height);
  for (std::uint32_t y = 0; y < picture.height; ++y) {
    TIFFReadScanline(tiff.get(), picture.codes.data() + std::size_t{y} * picture.width, y);
  }
  std::uint32_t size = 0;
  void* profile = nullptr;
  if (TIFFGetField(tiff.get(), TIFFTAG_ICCPROFILE, &size, &profile) == 1) {
    const auto* bytes = static_cast<const std::uint8_t*>(profile);
    picture.profile.assign(bytes, bytes + size);
  }
  return picture;
}

void write_gray(const fs::path& file, Gray16 picture) {
  const Tiff tiff(TIFFOpen(file.c_str(), "w"));
  TIFFSetField(tiff.get(), TIFFTAG_IMAGEWIDTH, picture.width);
  TIFFSetField(tiff.get(), TIFFTAG_IMAGELENGTH, picture.height);
  TIFFSetField(tiff.get(), TIFFTAG_BITSPERSAMPLE, 16);
  TIFFSetField(tiff.get(), TIFFTAG_SAMPLESPERPIXEL, 1);
  TIFFSetField(tiff.get(), TIFFTAG_PHOTOMETRIC, PHOTOMETRIC_MINISBLACK);
  TIFFSetField(tiff.get(), TIFFTAG_ROWSPERSTRIP, 16);
  if (!picture.profile.empty()) {
    TIFFSetField(tiff.get(), TIFFTAG_ICCPROFILE, static_cast<std::uint32_t>(picture.profile.size()),
                 picture.profile.data());
  }
  for (std::uint32_t y = 0; y < picture.height; ++y) {
    TIFFWriteScanline(tiff.get(), picture.codes.data() + std::size_t{y} * picture.width, y);
  }
}

/// The sample roll's own scans are read once for all tests of a build: a changed program finds
/// nothing kept (density/store_key.hpp). Else no cache where no test asks for one; not even root
/// can make a folder there.
std::string cache_for(const std::vector<std::string>& words) {
  const bool of_sample = std::ranges::any_of(
      words, [](const std::string& word) { return word.starts_with(kSampleRoll.string()); });
  return of_sample ? BASEFOG_TEST_CACHE : "/dev/null";
}

}  // namespace

ProgramRun run_program(const std::vector<std::string>& words,
                       const std::vector<std::string>& under) {
  return StartedProgram(words, under).wait();
}

StartedProgram::StartedProgram(const std::vector<std::string>& words,
                               const std::vector<std::string>& under)
    : folder_(std::make_unique<TestFolder>()) {
  // No settings of whoever runs the tests; `under` may name others.
  ::setenv("XDG_CONFIG_HOME", "/nonexistent", 1);
  ::setenv("XDG_CACHE_HOME", cache_for(words).c_str(), 1);
  ::setenv("XDG_DATA_HOME", "/dev/null", 1);
  const std::string out = *folder_ / "out";
  const std::string err = *folder_ / "err";
  std::vector<std::string> all = under;
  all.emplace_back(BASEFOG_PROGRAM);
  all.insert(all.end(), words.begin(), words.end());
  std::vector<char*> argv;
  for (std::string& word : all) argv.push_back(word.data());
  argv.push_back(nullptr);

  posix_spawn_file_actions_t files;
  posix_spawn_file_actions_init(&files);
  posix_spawn_file_actions_addopen(&files, STDIN_FILENO, "/dev/null", O_RDONLY, 0);
  posix_spawn_file_actions_addopen(&files, STDOUT_FILENO, out.c_str(), O_WRONLY | O_CREAT, 0600);
  posix_spawn_file_actions_addopen(&files, STDERR_FILENO, err.c_str(), O_WRONLY | O_CREAT, 0600);
  const int failed = posix_spawnp(&process_, argv[0], &files, nullptr, argv.data(), environ);
  posix_spawn_file_actions_destroy(&files);
  if (failed != 0) throw std::runtime_error("the program could not be started");
}

StartedProgram::~StartedProgram() {
  if (process_ == 0) return;
  kill();
  waitpid(process_, nullptr, 0);
}

void StartedProgram::kill() const { ::kill(process_, SIGKILL); }

ProgramRun StartedProgram::wait() {
  int status = 0;
  waitpid(std::exchange(process_, 0), &status, 0);
  return {WIFEXITED(status) ? WEXITSTATUS(status) : -1, content_of(*folder_ / "out"),
          content_of(*folder_ / "err")};
}

std::map<std::string, std::string> contents_of(const fs::path& folder) {
  std::map<std::string, std::string> contents;
  if (!fs::exists(folder)) return contents;
  for (const auto& entry : fs::recursive_directory_iterator(folder)) {
    if (!entry.is_regular_file()) continue;
    contents[entry.path().lexically_relative(folder)] = content_of(entry.path());
  }
  return contents;
}

TestFolder::TestFolder() {
  static std::atomic<int> count{0};
  path_ = fs::temp_directory_path() /
          ("basefog-test-" + std::to_string(::getpid()) + "-" + std::to_string(count++));
  fs::create_directories(path_);
}

TestFolder::~TestFolder() {
  std::error_code ignored;
  fs::remove_all(path_, ignored);
}

fs::path TestFolder::write(const std::string& name, const std::string& text) const {
  std::ofstream(path_ / name, std::ios::binary) << text;
  return path_ / name;
}

fs::path TestFolder::copy_sample(const std::string& name) const {
  fs::copy_file(kSampleRoll / name, path_ / name);
  return path_ / name;
}

fs::path TestFolder::copy_inverted(const std::string& name) const {
  Gray16 picture = read_sample(name);
  for (std::uint16_t& code : picture.codes) code = static_cast<std::uint16_t>(0xffff - code);
  write_gray(path_ / name, picture);
  return path_ / name;
}

fs::path TestFolder::copy_cropped(const std::string& name) const {
  const Gray16 whole = read_sample(name);
  Gray16 middle{.width = whole.width / 2, .height = whole.height / 2, .profile = whole.profile};
  for (std::uint32_t y = 0; y < middle.height; ++y) {
    const auto* row =
        whole.codes.data() + std::size_t{y + whole.height / 4} * whole.width + whole.width / 4;
    middle.codes.insert(middle.codes.end(), row, row + middle.width);
  }
  write_gray(path_ / name, middle);
  return path_ / name;
}

fs::path TestFolder::copy_doubled(const std::string& name) const {
  const Gray16 once = read_sample(name);
  Gray16 twice{.width = 2 * once.width, .height = 2 * once.height, .profile = once.profile};
  for (std::uint32_t y = 0; y < twice.height; ++y) {
    for (std::uint32_t x = 0; x < twice.width; ++x) {
      twice.codes.push_back(once.codes[std::size_t{y / 2} * once.width + x / 2]);
    }
  }
  write_gray(path_ / name, twice);
  return path_ / name;
}

std::string content_of(const fs::path& file) {
  std::ifstream in(file, std::ios::binary);
  return {std::istreambuf_iterator<char>(in), {}};
}

}  // namespace basefog
