// SPDX-License-Identifier: GPL-3.0-or-later
// What the smaller commands answer for machines, held against what was asked; and logs that come
// through standard input.
#include <gmock/gmock.h>
#include <gtest/gtest.h>

#include <array>
#include <cmath>
#include <cstdint>
#include <cstdio>
#include <nlohmann/json.hpp>

#include "cli/program_run.hpp"

namespace basefog {
namespace {

using ::testing::HasSubstr;
using Json = nlohmann::json;

const std::string kRoll = BASEFOG_SAMPLES "/roll";

Json answer(std::vector<std::string> words, const std::vector<std::string>& under = {}) {
  words.insert(words.end(), {"--json", "-"});
  const ProgramRun run = run_program(words, under);
  EXPECT_LE(run.status, 1) << run.err;
  return Json::parse(run.out);
}

TEST(Answers, equivalents_keep_the_exposure) {
  const Json json = answer({"equivalents", "1/125", "f/8", "--stops", "+1"});
  EXPECT_EQ(json["schema"], "basefog.equivalents/1");
  ASSERT_GE(json["settings"].size(), 5U);
  for (const Json& one : json["settings"]) {
    // t / N^2, from nominal marks: they are off by up to a tenth of a stop.
    const double n = one["aperture"].get<double>();
    const double stops = std::log2(one["shutter_s"].get<double>() / (n * n) * 125 * 64);
    EXPECT_NEAR(stops, 1, 0.15) << one;
    EXPECT_NEAR(one["stops"].get<double>() - 1, one["off"], 2e-3) << one;
  }
}

TEST(Answers, log_has_every_row_as_it_was_read) {
  const Json json = answer({"log", kRoll + "/log.csv"});
  EXPECT_EQ(json["schema"], "basefog.log/1");
  ASSERT_EQ(json["rows"].size(), 12U);
  const Json& second = json["rows"][1];
  EXPECT_EQ(second["frame"], "2");
  EXPECT_EQ(second["shutter_s"], 0.002);
  EXPECT_EQ(second["aperture"], 9.5);
  EXPECT_EQ(second["compensation"], 1);
  EXPECT_EQ(second["mode"], "manual");
  EXPECT_EQ(second["note"], "building site against the light, +1");
}

TEST(Answers, log_may_come_through_standard_input) {
  const TestFolder folder;
  const std::string there = "exec \"$0\" \"$@\" < '" + kRoll + "/log.csv'";
  Json piped = answer({"log", "-"}, {"sh", "-c", there});
  Json read = answer({"log", kRoll + "/log.csv"});
  piped.erase("file");
  read.erase("file");
  EXPECT_EQ(piped, read);
  const std::string scan = kRoll + "/roll03_03.tif";
  Json review = answer({"review", scan, "--quiet", "--log", "-"}, {"sh", "-c", there});
  EXPECT_EQ(review["frames"][0]["log_row"], "3") << review["frames"][0];
  EXPECT_EQ(run_program({"log", "-"}).status, 2) << "standard input is empty";
}

TEST(Answers, read_tells_where_frames_lie) {
  const Json json = answer({"read", kRoll + "/roll03_03.tif", kRoll + "/roll03_04.tif"});
  EXPECT_EQ(json["schema"], "basefog.read/1");
  ASSERT_EQ(json["scans"].size(), 2U);
  const Json& scan = json["scans"][0];
  ASSERT_EQ(scan["frames"].size(), 1U);
  EXPECT_EQ(scan["frames"][0]["state"], "measured");
  const Json& size = scan["frames"][0]["size_px"];
  EXPECT_NEAR(size[0].get<double>() / size[1].get<double>(), 1.5, 0.02);
  EXPECT_EQ(scan["clear_film"]["kind"], "rebate");
}

TEST(Answers, film_has_its_curve_in_numbers) {
  const Json json = answer({"film", "bw", "--film-speed", "400"});
  EXPECT_EQ(json["schema"], "basefog.film/1");
  // [ISO6]: S = 0.8 lux s / H_m.
  EXPECT_NEAR(json["speed_point_log_h"], std::log10(0.8 / 400), 1e-3);
  // 8.125 / S lux s against that.
  EXPECT_NEAR(json["aim"], std::log2(8.125 / 0.8), 1e-3);
  EXPECT_GT(json["layers"][0]["average_gradient"]["value"], 0.4);
}

/// RFC 1952, section 8, bit by bit.
std::string crc32_of(const std::string& bytes) {
  std::uint32_t crc = 0xffffffff;
  for (const char byte : bytes) {
    crc ^= static_cast<unsigned char>(byte);
    for (int bit = 0; bit < 8; ++bit) crc = (crc >> 1U) ^ ((crc & 1U) != 0 ? 0xedb88320 : 0);
  }
  std::array<char, 9> text{};
  std::snprintf(text.data(), text.size(), "%08x", static_cast<unsigned>(~crc));
  return text.data();
}

TEST(Answers, review_names_what_its_numbers_depend_on) {
  const TestFolder folder;
  const std::string camera = folder.write("black.toml", "name = \"the black one\"\n");
  const Json json = answer({"review", kRoll + "/roll03_03.tif", kRoll + "/roll03_04.tif", "--quiet",
                            "--log", kRoll + "/log.csv", "--camera", camera, "--metering", "spot",
                            "--response", "linear"});
  EXPECT_THAT(json["program"].get<std::string>(), ::testing::StartsWith("basefog 0."));
  const Json& provenance = json["provenance"];
  EXPECT_EQ(provenance["responses"], Json({"--response linear"})) << "once, not once a frame";
  EXPECT_EQ(provenance["metering"], "spot");
  EXPECT_EQ(provenance["camera"], "the black one");
  EXPECT_EQ(provenance["log"], kRoll + "/log.csv");
  EXPECT_EQ(provenance["options"], (Json{{"metering", "spot"}, {"response", "linear"}}));
  std::vector<std::string> roles;
  for (const Json& input : provenance["inputs"]) {
    roles.push_back(input["role"]);
    const std::string content = content_of(input["file"].get<std::string>());
    EXPECT_EQ(input["bytes"], content.size());
    EXPECT_EQ(input["crc32"], crc32_of(content));
    EXPECT_EQ(input["crc32_of"], "whole");
  }
  EXPECT_EQ(roles, (std::vector<std::string>{"scan", "scan", "log", "camera"}));
}

TEST(Answers, of_a_file_keep_the_table_on_standard_output) {
  const TestFolder folder;
  const std::string file = folder / "answer.json";
  const ProgramRun run = run_program({"film", "bw", "--json", file});
  EXPECT_EQ(run.status, 0);
  EXPECT_THAT(run.out, HasSubstr("speed point at log H"));
  EXPECT_EQ(Json::parse(content_of(file))["kind"], "black_and_white");
  // A log is no place for an answer.
  const std::string log = folder.write("log.csv", "frame,shutter,aperture\n1,1/60,8\n");
  EXPECT_EQ(run_program({"log", log, "--json", log}).status, 2);
  EXPECT_THAT(content_of(log), HasSubstr("1/60"));
}

}  // namespace
}  // namespace basefog
