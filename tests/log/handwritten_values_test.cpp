// SPDX-License-Identifier: GPL-3.0-or-later
// Every value of tests/golden/handwritten_values.tsv is read as the table says.
#include <gtest/gtest.h>

#include <array>
#include <cmath>
#include <cstdio>
#include <cstdlib>
#include <fstream>
#include <set>

#include "log/values.hpp"

namespace basefog::log {
namespace {

struct GoldenValue {
  int line = 0;
  std::string kind;
  std::string text;
  std::string meaning;
  bool remark = false;
};

std::vector<std::string> fields_of(const std::string& line) {
  std::vector<std::string> fields(1);
  for (const char c : line) {
    if (c == '\t') {
      fields.emplace_back();
    } else {
      fields.back() += c;
    }
  }
  fields.resize(4);
  return fields;
}

std::vector<GoldenValue> golden_values() {
  std::ifstream in(BASEFOG_GOLDEN "/handwritten_values.tsv");
  std::vector<GoldenValue> values;
  std::string line;
  for (int number = 1; std::getline(in, line); ++number) {
    if (line.empty() || line.starts_with('#')) continue;
    const std::vector<std::string> fields = fields_of(line);
    values.push_back({number, fields[0], fields[1], fields[2], fields[3] == "remark"});
  }
  return values;
}

/// What was read, in the table's own words; numbers stay numbers for the comparison.
struct ReadValue {
  std::string words;  ///< meaning where it is not one number
  std::optional<double> number;
  Doubts doubts;
};

template <class Value>
ReadValue number_of(const Written<Value>& written, double (*value_of)(const Value&)) {
  if (!written.value) return {"-", std::nullopt, written.doubts};
  return {"", value_of(*written.value), written.doubts};
}

std::string brief(double value) {
  std::array<char, 32> text{};
  std::snprintf(text.data(), text.size(), "%.6g", value);
  return text.data();
}

ReadValue read_as_shutter(const std::string& text, BareNumber bare) {
  return number_of<ShutterTime>(parse_shutter(text, bare), [](auto& t) { return t.seconds(); });
}

ReadValue read_as_speed(const Written<WrittenSpeed>& written) {
  if (!written.value) return {"-", std::nullopt, written.doubts};
  if (!written.value->film) return {"", written.value->ei->iso(), written.doubts};
  std::string words = brief(written.value->film->iso()) + ">" + brief(written.value->ei->iso());
  if (written.value->push) words += " push " + brief(written.value->push->value());
  return {words, std::nullopt, written.doubts};
}

ReadValue read_as_settings(const std::string& text) {
  const Written<ShotSettings> written = parse_settings(text);
  if (!written.value) return {"-", std::nullopt, written.doubts};
  const auto& [shutter, aperture] = *written.value;
  return {(shutter ? as_marked(*shutter) : "-") + " " + (aperture ? brief(aperture->value()) : "-"),
          std::nullopt, written.doubts};
}

ReadValue stops_of(const Written<Stops>& written) {
  return number_of<Stops>(written, [](const Stops& stops) { return stops.value(); });
}

ReadValue read_value(const GoldenValue& value) {
  const std::string& text = value.text;
  if (value.kind == "shutter") return read_as_shutter(text, BareNumber::fraction);
  if (value.kind == "shutter_in_seconds") return read_as_shutter(text, BareNumber::seconds);
  if (value.kind == "shutter_both_ways") {
    return read_as_shutter(text, BareNumber::fraction_or_seconds);
  }
  if (value.kind == "shutter_seconds_mostly") {
    return read_as_shutter(text, BareNumber::seconds_or_fraction);
  }
  if (value.kind == "aperture") {
    return number_of<FNumber>(parse_aperture(text), [](const FNumber& n) { return n.value(); });
  }
  if (value.kind == "speed") return read_as_speed(parse_speed(text));
  if (value.kind == "speed_in_degrees") return read_as_speed(parse_speed(text, true));
  if (value.kind == "film") return read_as_speed(speed_of_film(text));
  if (value.kind == "compensation") return stops_of(parse_compensation(text));
  if (value.kind == "push") return stops_of(parse_push(text));
  if (value.kind == "filter") return stops_of(parse_filter(text));
  if (value.kind == "focal_length") {
    return number_of<double>(parse_focal_length(text), [](const double& mm) { return mm; });
  }
  if (value.kind == "mode") {
    const Written<ExposureMode> mode = parse_mode(text);
    return {mode.value ? std::string(name_of(*mode.value)) : "-", std::nullopt, mode.doubts};
  }
  if (value.kind == "date") {
    const Written<std::string> date = parse_date(text);
    return {date.value.value_or("-"), std::nullopt, date.doubts};
  }
  if (value.kind == "settings") return read_as_settings(text);
  ADD_FAILURE() << "unknown kind " << value.kind;
  return {};
}

/// "1/60" and "0.5" as numbers.
double number_in(const std::string& meaning) {
  const std::size_t slash = meaning.find('/');
  if (slash == std::string::npos) return std::atof(meaning.c_str());
  return std::atof(meaning.substr(0, slash).c_str()) / std::atof(meaning.substr(slash + 1).c_str());
}

void expect_meaning(const GoldenValue& value) {
  const ReadValue read = read_value(value);
  SCOPED_TRACE("handwritten_values.tsv:" + std::to_string(value.line) + ": " + value.kind + " \"" +
               value.text + "\"");
  if (read.number) {
    const double meant = number_in(value.meaning);
    EXPECT_NE(value.meaning, "-") << "read " << *read.number;
    EXPECT_NEAR(*read.number, meant, std::abs(meant) * 2e-5 + 1e-12);
  } else if (value.kind == "settings" && value.meaning != "-") {
    // The shutter as marked and the f-number stand side by side.
    const std::size_t space = value.meaning.find(' ');
    const ShutterTime meant(number_in(value.meaning.substr(0, space)));
    EXPECT_EQ(read.words, as_marked(meant) + value.meaning.substr(space));
  } else {
    EXPECT_EQ(read.words, value.meaning);
  }
  EXPECT_EQ(!read.doubts.empty(), value.remark);
}

/// One case a kind of value, so that a failing table says which reader is at fault.
class HandwrittenValues : public testing::TestWithParam<std::string> {};

TEST_P(HandwrittenValues, mean_what_the_table_says) {
  int values = 0;
  for (const GoldenValue& value : golden_values()) {
    if (value.kind != GetParam()) continue;
    expect_meaning(value);
    ++values;
  }
  EXPECT_GE(values, 5);
}

std::set<std::string> golden_kinds() {
  std::set<std::string> kinds;
  for (const GoldenValue& value : golden_values()) kinds.insert(value.kind);
  return kinds;
}

INSTANTIATE_TEST_SUITE_P(Golden, HandwrittenValues, testing::ValuesIn(golden_kinds()),
                         [](const auto& kind) { return kind.param; });

TEST(HandwrittenTable, is_long_enough) { EXPECT_GE(golden_values().size(), 150U); }

}  // namespace
}  // namespace basefog::log
