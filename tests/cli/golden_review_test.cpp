// SPDX-License-Identifier: GPL-3.0-or-later
// A review's numbers to the last digit, so that moving and rewriting code shows that nothing came
// out otherwise. Where a change of numbers is meant, BASEFOG_WRITE_GOLDEN=1 writes the files anew.
#include <gtest/gtest.h>

#include <cstdlib>
#include <filesystem>
#include <fstream>
#include <nlohmann/json.hpp>
#include <string>
#include <vector>

#include "cli/program_run.hpp"
#include "validation/bracket_study.hpp"

namespace basefog {
namespace {

namespace fs = std::filesystem;
using Json = nlohmann::ordered_json;

/// The review of a folder of scans or records with its log; paths from `base` on.
std::string review_of(const fs::path& base, const std::vector<std::string>& inputs,
                      const fs::path& log) {
  std::vector<std::string> words = {"review"};
  words.insert(words.end(), inputs.begin(), inputs.end());
  words.insert(words.end(), {"--log", log, "--quiet", "--no-cache", "--json", "-"});
  const ProgramRun run = run_program(words);
  EXPECT_EQ(run.status, 0) << run.err;
  std::string text = run.out;
  const std::string prefix = base.string() + "/";
  for (std::size_t at; (at = text.find(prefix)) != std::string::npos;) {
    text.erase(at, prefix.size());
  }
  Json json = Json::parse(text);
  for (Json& frame : json["frames"]) frame.erase("blur");
  // Of the files' bytes, which other editions of the TIFF library write otherwise.
  json["provenance"].erase("inputs");
  return json.dump(1) + "\n";
}

void compare_with_golden(const std::string& name, const std::string& found) {
  const fs::path file = fs::path(BASEFOG_GOLDEN) / "review" / (name + ".json");
  if (std::getenv("BASEFOG_WRITE_GOLDEN") != nullptr) std::ofstream(file) << found;
  const Json patch = Json::diff(Json::parse(content_of(file)), Json::parse(found));
  EXPECT_TRUE(patch.empty()) << name << ": " << patch.dump(1);
}

TEST(GoldenReview, of_the_sample_roll) {
  const fs::path samples = BASEFOG_SAMPLES;
  compare_with_golden("sample_roll",
                      review_of(samples, {samples / "roll"}, samples / "roll/log.csv"));
}

/// Photographed and scanned by the simulator, recorded, and reviewed from the records.
void compare_recorded(const std::string& name, const validation::BracketStudy& study) {
  const TestFolder folder;
  validation::run(study, folder.string());
  const fs::path roll = folder / "roll";
  const ProgramRun read = run_program({"read", roll, "--record", folder / "records"});
  EXPECT_EQ(read.status, 0) << read.err;
  compare_with_golden(name,
                      review_of(folder.string(), {"--from", folder / "records"}, roll / "log.csv"));
}

TEST(GoldenReview, of_a_recorded_colour_roll) {
  compare_recorded("colour_roll", {.rolls = 1, .seed = 31, .colour = true});
}

TEST(GoldenReview, of_a_recorded_roll_of_panoramas) {
  compare_recorded("panorama_roll", {.panoramas = fs::path(BASEFOG_TEST_DATA) / "panoramas",
                                     .rolls = 1,
                                     .seed = 32,
                                     .brackets = 2,
                                     .others = 4,
                                     .scatter = 0.18});
}

}  // namespace
}  // namespace basefog
