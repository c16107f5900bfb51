// SPDX-License-Identifier: GPL-3.0-or-later
// Proofs and pocket card of the sample roll, from the command line to the files.
#include <gmock/gmock.h>
#include <gtest/gtest.h>
#include <tiffio.h>

#include <cstdio>
#include <fstream>
#include <memory>

#include "cli/program_run.hpp"

namespace basefog {
namespace {

using ::testing::HasSubstr;

const std::string kRoll = BASEFOG_SAMPLES "/roll";
const std::string kLog = kRoll + "/log.csv";

std::size_t files_with(const std::filesystem::path& folder, const std::string& ending) {
  std::size_t count = 0;
  for (const auto& entry : std::filesystem::directory_iterator(folder)) {
    count += entry.path().filename().string().ends_with(ending) ? 1 : 0;
  }
  return count;
}

TEST(Proof, writes_straight_and_corrected_proofs_and_contact_sheets) {
  const TestFolder folder;
  const ProgramRun run = run_program({"proof", kRoll, "--out", folder / "p", "--long-side", "200"});
  EXPECT_EQ(run.status, 0) << run.err;
  // Thirteen pictures; the fourteenth frame is blank.
  EXPECT_EQ(files_with(folder / "p" / "straight", ".jpg"), 13u);
  EXPECT_EQ(files_with(folder / "p" / "corrected", ".jpg"), 13u);
  EXPECT_TRUE(std::filesystem::exists(folder / "p" / "contact_straight.jpg"));
  EXPECT_THAT(run.out, HasSubstr("13 of 14 frames printed straight"));
  EXPECT_THAT(content_of(folder / "p" / "straight" / "roll03_03.jpg"),
              HasSubstr("A proof from measured densities, not a finished print; straight"));
}

TEST(Proof, larger_than_usual_has_the_detail_of_the_scan) {
  const TestFolder folder;
  folder.copy_doubled("roll03_03.tif");
  const ProgramRun run =
      run_program({"proof", folder / "roll03_03.tif", "--out", folder / "p", "--format", "tiff",
                   "--prints", "corrected", "--long-side", "1000", "--quiet"});
  EXPECT_EQ(run.status, 0) << run.err;
  EXPECT_EQ(run.out, "");
  const std::unique_ptr<TIFF, decltype(&TIFFClose)> tiff(
      TIFFOpen((folder / "p" / "corrected" / "roll03_03.tif").c_str(), "r"), TIFFClose);
  ASSERT_TRUE(tiff);
  std::uint32_t width = 0;
  std::uint16_t bits = 0;
  std::uint32_t size = 0;
  void* profile = nullptr;
  TIFFGetField(tiff.get(), TIFFTAG_IMAGEWIDTH, &width);
  TIFFGetField(tiff.get(), TIFFTAG_BITSPERSAMPLE, &bits);
  EXPECT_GT(width, 720u);
  EXPECT_LE(width, 1000u);
  EXPECT_EQ(bits, 16);
  EXPECT_EQ(TIFFGetField(tiff.get(), TIFFTAG_ICCPROFILE, &size, &profile), 1);
}

TEST(Proof, never_among_the_scans) {
  const TestFolder folder;
  folder.copy_sample("roll03_03.tif");
  const ProgramRun run = run_program({"proof", folder.string(), "--out", folder.string()});
  EXPECT_EQ(run.status, 2);
  EXPECT_EQ(files_with(folder.string(), ".jpg"), 0u);
}

TEST(Card, is_a_pdf_of_bank_card_size_that_says_what_to_dial) {
  const TestFolder folder;
  const std::filesystem::path card = folder / "card.pdf";
  // On a film whose contrast nobody measured the bias of this roll is not sure enough to dial.
  const std::filesystem::path film = folder / "film.toml";
  std::ofstream(film) << "kind = \"bw\"\nspeed = 400\ncontrast_source = \"film test\"\n"
                         "contrast_uncertainty = 0.02\n[[layer]]\nrise_over_1_30 = 0.8\n";
  const ProgramRun run =
      run_program({"card", kRoll, "--log", kLog, "--film", film, "--out", card, "--quiet"});
  EXPECT_EQ(run.status, 0) << run.err;
  const auto ask = [&](const std::string& program) {
    std::unique_ptr<FILE, decltype(&pclose)> pipe(
        popen((program + " '" + card.string() + "'" + (program == "pdftotext" ? " -" : "")).c_str(),
              "r"),
        pclose);
    std::string text;
    char buffer[4096];
    while (std::size_t count = fread(buffer, 1, sizeof buffer, pipe.get())) {
      text.append(buffer, count);
    }
    return text;
  };
  const std::string text = ask("pdftotext");
  EXPECT_THAT(text, HasSubstr("Dial 320"));
  EXPECT_THAT(text, HasSubstr("1/15"));
  EXPECT_THAT(text, HasSubstr("Valid for"));
  // 85.6 mm by 53.98 mm [ISO7810], in points of 1/72 inch.
  EXPECT_THAT(ask("pdfinfo"),
              ::testing::ContainsRegex("Page size: +242\\.6[0-9]* x 153\\.0[0-9]* pts"));
}

TEST(Card, without_a_log_says_what_it_needs) {
  const TestFolder folder;
  const ProgramRun run = run_program({"card", kRoll, "--out", folder / "card.svg", "--quiet"});
  EXPECT_EQ(run.status, 2);
  EXPECT_THAT(run.err, HasSubstr("give the roll's log with --log"));
  EXPECT_EQ(run_program({"card", kRoll, "--out", folder / "card.doc"}).status, 2);
}

}  // namespace
}  // namespace basefog
