// SPDX-License-Identifier: GPL-3.0-or-later
// Every example of help, manual and README is run as it stands, in a folder with the files that it
// speaks of, those of one text one after the other.
#include <gmock/gmock.h>
#include <gtest/gtest.h>
#include <sys/wait.h>
#include <tiffio.h>

#include <algorithm>
#include <cmath>
#include <cstdint>
#include <cstdlib>
#include <fstream>
#include <regex>
#include <sstream>

#include "cli/program_run.hpp"
#include "simulator/film.hpp"
#include "simulator/layout.hpp"
#include "simulator/scan_file.hpp"
#include "simulator/scanner.hpp"
#include "validation/grey_card_study.hpp"

namespace basefog {
namespace {

namespace fs = std::filesystem;
using ::testing::Contains;
using ::testing::Not;
using ::testing::SizeIs;

const fs::path kSamples = BASEFOG_SAMPLES;

/// Two strips of three grey frames on bare light.
void draw_sheet(const fs::path& file) {
  const simulator::FilmFormat format = simulator::film_format("24x36");
  simulator::Strip strip{.format = format};
  for (const double lux_seconds : {0.01, 0.03, 0.1}) {
    cv::Mat frame(240, 360, CV_32FC3);
    for (int y = 0; y < frame.rows; ++y) {
      for (int x = 0; x < frame.cols; ++x) {
        const double light = lux_seconds * std::exp2(std::sin(x / 20.0) + std::cos(y / 15.0));
        frame.at<cv::Vec3f>(y, x) = cv::Vec3f::all(static_cast<float>(light));
      }
    }
    strip.frames.push_back(frame);
    strip.labels.emplace_back();
  }
  const simulator::Film film = simulator::black_and_white_film({});
  simulator::write_tiff(
      file, simulator::scan(simulator::sheet({strip, strip}), film, {.pixel_mm = 0.1}, 20));
}

/// A step tablet of 11 steps, 0.15 apart, as a linear scanner sees it.
void draw_tablet(const fs::path& file, const fs::path& steps) {
  constexpr std::uint32_t kPitch = 90;
  constexpr std::uint32_t kSteps = 11;
  constexpr std::uint32_t kMargin = 100;
  const std::uint32_t width = kSteps * kPitch + 2 * kMargin;
  std::vector<std::uint16_t> row(width, 60000);
  std::string densities;
  for (std::uint32_t step = 0; step < kSteps; ++step) {
    const double density = 0.05 + 0.15 * step;
    densities += std::to_string(density) + "\n";
    std::fill_n(row.begin() + kMargin + step * kPitch, kPitch,
                static_cast<std::uint16_t>(std::lround(60000 * std::pow(10, -density))));
  }
  std::vector<std::uint16_t> bare(width, 60000);
  TIFF* tiff = TIFFOpen(file.c_str(), "w");
  ASSERT_NE(tiff, nullptr);
  TIFFSetField(tiff, TIFFTAG_IMAGEWIDTH, width);
  TIFFSetField(tiff, TIFFTAG_IMAGELENGTH, 400);
  TIFFSetField(tiff, TIFFTAG_BITSPERSAMPLE, 16);
  TIFFSetField(tiff, TIFFTAG_SAMPLESPERPIXEL, 1);
  TIFFSetField(tiff, TIFFTAG_PHOTOMETRIC, PHOTOMETRIC_MINISBLACK);
  TIFFSetField(tiff, TIFFTAG_ROWSPERSTRIP, 16);
  for (std::uint32_t y = 0; y < 400; ++y) {
    TIFFWriteScanline(tiff, y < 100 || y >= 300 ? bare.data() : row.data(), y);
  }
  TIFFClose(tiff);
  std::ofstream(steps) << densities;
}

/// The lines of a text that are commands, without their indent.
std::vector<std::string> examples_in(const std::string& text, const std::string& indent) {
  std::vector<std::string> found;
  std::istringstream lines(text);
  for (std::string line; std::getline(lines, line);) {
    for (const char* program : {"basefog ", "find ", "source "}) {
      const bool usage = line.ends_with("[options]");
      if (line.starts_with(indent + program) && !usage) found.push_back(line.substr(indent.size()));
    }
  }
  return found;
}

/// Stands in a folder with all that the examples speak of.
class Examples : public ::testing::Test {
 protected:
  static void SetUpTestSuite() {
    folder_ = new TestFolder;
    fill(*folder_ / "stage");
  }
  static void TearDownTestSuite() {
    delete folder_;
    folder_ = nullptr;
  }
  void SetUp() override { fs::copy(*folder_ / "stage", here, fs::copy_options::recursive); }

  static void fill(const fs::path& stage) {
    for (const char* name : {"scans/roll7", "archive/roll7", "sheets", "step"}) {
      fs::create_directories(stage / name);
    }
    for (int frame = 1; frame <= 6; ++frame) {
      const std::string number = "_0" + std::to_string(frame) + ".tif";
      for (const char* place : {"scans/roll7", "scans/roll7/roll7", "archive/roll7/roll7"}) {
        fs::copy_file(kSamples / "roll" / ("roll03" + number), stage / (place + number));
      }
    }
    fs::copy_file(kSamples / "roll/log.csv", stage / "log.csv");
    fs::copy_file(kSamples / "roll/log.csv", stage / "roll7.csv");
    std::ofstream(stage / "black.toml") << "name = \"the black one\"\nshutter = \"half\"\n";
    draw_sheet(stage / "sheets/sheet.tif");
    draw_tablet(stage / "step/tablet.tif", stage / "steps.txt");
    for (const char* name : {"series", "card"}) {
      validation::photograph_grey_card({.seed = 90210, .scatter = 0.03, .pixel_mm = 0.1}, 0,
                                       stage / name);
      fs::rename(stage / name / "log.csv", stage / (std::string(name) + ".csv"));
    }
    run_in(stage,
           "basefog review scans/roll7 --log roll7.csv --camera black.toml --remember "
           "--roll roll7 --film-name \"Harbour Pan 400\" --quiet");
  }

  /// The exit status of a line as a shell runs it there.
  static int run_in(const fs::path& folder, const std::string& line) {
    const std::string program = fs::path(BASEFOG_PROGRAM).parent_path().string();
    const std::string whole =
        "cd '" + folder.string() + "' && export PATH='" + program +
        "':$PATH XDG_DATA_HOME=$PWD/data XDG_CACHE_HOME=$PWD/cache && set -o pipefail && (" + line +
        "\n) > out.txt 2> err.txt";
    const int status = std::system(
        ("bash -c '" + std::regex_replace(whole, std::regex("'"), "'\\''") + "'").c_str());
    return WIFEXITED(status) ? WEXITSTATUS(status) : -1;
  }

  void run_all(const std::vector<std::string>& lines) const {
    for (std::string line : lines) {
      // A desk serves until it is interrupted.
      if (line.starts_with("basefog desk")) {
        line = "timeout --preserve-status --signal INT 2 " + line + " --no-open";
      }
      const int status = run_in(here, line);
      // 1 says that something was doubtful, as the sample log is here and there.
      EXPECT_TRUE(status == 0 || status == 1)
          << line << "\n"
          << content_of(here / "out.txt") << content_of(here / "err.txt");
    }
  }

  static TestFolder* folder_;
  TestFolder own;
  const fs::path here = own / "here";
};
TestFolder* Examples::folder_ = nullptr;

TEST_F(Examples, of_commands_work_in_their_order) {
  const std::vector<std::string> lines = examples_in(run_program({"manual", "commands"}).out, "  ");
  EXPECT_GE(lines.size(), 20U);
  run_all(lines);
  for (const char* made :
       {"result/report.html", "roll7-result/review.json", "roll7-proofs/contact_straight.tif",
        "card.pdf", "found.png", "records/roll7_01.tif.json", "roll8.pdf", "curve.svg",
        "scanner.toml", "myfilm.toml"}) {
    EXPECT_TRUE(fs::exists(here / made)) << made;
  }
}

TEST_F(Examples, of_help_are_those_of_the_manual) {
  const std::vector<std::string> all = examples_in(run_program({"manual", "commands"}).out, "  ");
  for (const char* command : {"review", "desk", "proof", "card", "read", "bias", "ledger",
                              "equivalents", "log", "logsheet", "film", "manual", "completion"}) {
    const std::vector<std::string> lines = examples_in(run_program({command, "--help"}).out, "  ");
    EXPECT_THAT(lines, Not(SizeIs(0))) << command;
    for (const std::string& line : lines) EXPECT_THAT(all, Contains(line));
  }
}

TEST_F(Examples, of_the_manual_s_topics_work) {
  std::istringstream list(run_program({"manual"}).out);
  for (std::string line; std::getline(list, line);) {
    const std::string topic = line.starts_with("  ") ? line.substr(2, line.find(' ', 2) - 2) : "";
    if (topic.empty() || topic == "commands") continue;
    std::vector<std::string> lines = examples_in(run_program({"manual", topic}).out, "  ");
    // "basefog read" alone is a term that is explained.
    std::erase_if(lines, [](const std::string& one) { return std::ranges::count(one, ' ') < 2; });
    run_all(lines);
  }
  EXPECT_TRUE(fs::exists(here / "records/archive/roll7/roll7_01.tif.json"));
  EXPECT_TRUE(fs::exists(here / "myfilm.toml"));
}

TEST_F(Examples, of_the_README_work) {
  fs::remove(here / "log.csv");
  for (const std::string& line :
       examples_in(content_of(kSamples.parent_path() / "README.md"), "    ")) {
    run_all({line});
    // The blank log is filled in.
    if (line.starts_with("basefog logsheet")) {
      EXPECT_GT(fs::file_size(here / "log.csv"), 100U);
      fs::copy_file(kSamples / "roll/log.csv", here / "log.csv",
                    fs::copy_options::overwrite_existing);
    }
  }
  for (const char* made : {"report.html", "review.json", "frames.csv", "match.csv"}) {
    EXPECT_TRUE(fs::exists(here / "result" / made)) << made;
  }
}

}  // namespace
}  // namespace basefog
