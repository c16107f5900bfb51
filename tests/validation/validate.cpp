// SPDX-License-Identifier: GPL-3.0-or-later
// validate PANORAMAS: prints how true the readings are, by stratum, as a Markdown table.
#include <CLI/CLI.hpp>
#include <array>
#include <cmath>
#include <cstdio>
#include <fstream>
#include <iostream>
#include <string>

#include "validation/study.hpp"

namespace {

using validation::AnswerKind;
using validation::Outcome;

void print_head() {
  std::printf(
      "| frames | answer | n | bias | rms | within 1/2 | median width | coverage |\n"
      "|---|---|---|---|---|---|---|---|\n");
}

void print_rows(const std::string& name, const std::vector<Outcome>& outcomes) {
  for (const AnswerKind kind : basefog::every<AnswerKind>()) {
    const validation::Score s = validation::score(outcomes, kind);
    const std::string answer(name_of(kind));
    std::printf("| %s | %s | %d | %+.2f | %.2f | %.0f %% | %.2f | %.1f %% |\n", name.c_str(),
                answer.c_str(), s.frames, s.bias, s.rms, 100 * s.near, s.width, 100 * s.coverage);
  }
  int judged = 0;
  const double right = validation::right_verdicts(outcomes, judged);
  std::printf("| %s | verdict | %d | | | | | right %.1f %% |\n", name.c_str(), judged, 100 * right);
  for (const auto& [from, to] : {std::pair{0.0, 0.6}, {0.6, 0.8}, {0.8, 0.9}, {0.9, 1.01}}) {
    int told = 0;
    const double came_true = validation::right_at_chances(outcomes, from, to, told);
    std::printf("| %s | verdict of chance %.1f and more | %d | | | | | right %.0f %% |\n",
                name.c_str(), from, told, 100 * came_true);
  }
  std::fflush(stdout);
}

void write_each(std::ostream& out, const std::vector<Outcome>& outcomes) {
  for (const Outcome& o : outcomes) {
    out << o.stratum << ';' << o.roll << ';' << o.scene << ';' << o.lamps << ';' << o.contrast
        << ';' << name_of(o.state) << ';' << o.truth.least_loss;
    for (const AnswerKind kind : basefog::every<AnswerKind>()) {
      out << ';' << truth_of(o.truth, kind);
      if (!o.reading) {
        out << std::string(3 + basefog::kCountOf<basefog::reading::ErrorCause>, ';');
        continue;
      }
      const basefog::reading::Answer<basefog::Stops> answer = answer_of(*o.reading, kind);
      out << ';' << answer.estimate.value.value() << ';';
      if (answer.estimate.low) out << answer.estimate.low->value();
      out << ';';
      if (answer.estimate.high) out << answer.estimate.high->value();
      for (double part : answer.budget) out << ';' << part;
    }
    out << '\n';
  }
}

/// One line a stratum: exposures, verdicts, and coverage of the four answers.
void write_table_head(std::ostream& out) {
  out << "| frames | n | exposure rms | within half a stop | verdicts right | 95 % intervals that "
         "hold: exposure | shadow reserve | highlight reach | correction |\n"
         "|---|---|---|---|---|---|---|---|---|\n";
}

void write_table_row(std::ostream& out, const std::string& name,
                     const std::vector<Outcome>& outcomes) {
  using validation::score;
  const validation::Score exposure = score(outcomes, AnswerKind::exposure);
  int judged = 0;
  const double right = validation::right_verdicts(outcomes, judged);
  const auto percent = [](double share) { return std::lround(100 * share); };
  std::array<char, 32> rms{};
  std::snprintf(rms.data(), rms.size(), "%.2f", exposure.rms);
  out << "| " << name << " | " << exposure.frames << " | " << rms.data() << " | "
      << percent(exposure.near) << " % | " << percent(right) << " % of " << judged;
  for (const AnswerKind kind : {AnswerKind::exposure, AnswerKind::shadow_reserve,
                                AnswerKind::highlight_reach, AnswerKind::correction}) {
    out << " | " << percent(score(outcomes, kind).coverage) << " %";
  }
  out << " |\n";
}

struct Arguments {
  validation::StudyOptions study;
  std::string table;
  std::string only;
  std::string each;
};

validation::Told told(const std::string& words) {
  const auto has = [&](const char* word) { return words.find(word) != std::string::npos; };
  return {.contrast = has("contrast"), .form = has("form"), .pattern = has("pattern")};
}

void add_words(CLI::App& app, Arguments& arguments) {
  validation::StudyOptions& study = arguments.study;
  app.add_option("panoramas", study.panoramas, "folder of .exr and .hdr")->required();
  app.add_option("--rolls", study.rolls, "of each stratum");
  app.add_option("--frames", study.frames, "of each roll");
  app.add_option("--seed", study.seed);
  app.add_flag("--given-frames", study.given_frames, "frames' places from the simulation");
  app.add_option("--kept", study.kept, "folder: scans' records are kept, and taken, there");
  app.add_option_function<std::string>(
      "--told", [&](const std::string& words) { study.told = told(words); },
      "let the readings know of contrast, form (of the curve) and pattern");
  app.add_option("--only", arguments.only, "strata with this in their name");
  app.add_option("--each", arguments.each, "file: one row a frame");
  app.add_option("--table", arguments.table, "file: the short table of README");
}

}  // namespace

void open_for_writing(std::ofstream& out, const std::string& file) {
  out.open(file);
  if (!out) throw std::runtime_error("cannot write " + file);
}

int main(int argc, char** argv) {
  CLI::App app("How true the readings are, by stratum, as a Markdown table.");
  Arguments arguments;
  add_words(app, arguments);
  CLI11_PARSE(app, argc, argv);
  try {
    std::ofstream each;
    if (!arguments.each.empty()) open_for_writing(each, arguments.each);
    std::ofstream table;
    if (!arguments.table.empty()) {
      open_for_writing(table, arguments.table);
      write_table_head(table);
    }
    std::vector<Outcome> all;
    print_head();
    for (const validation::Stratum& stratum : validation::strata()) {
      if (stratum.name.find(arguments.only) == std::string::npos) continue;
      const std::vector<Outcome> outcomes = run(stratum, arguments.study);
      print_rows(stratum.name, outcomes);
      if (each.is_open()) write_each(each, outcomes);
      if (table.is_open()) write_table_row(table, stratum.name, outcomes);
      all.insert(all.end(), outcomes.begin(), outcomes.end());
    }
    std::vector<Outcome> lamps;
    int unread = 0;
    for (const Outcome& outcome : all) {
      if (outcome.lamps) lamps.push_back(outcome);
      if (!outcome.reading) ++unread;
    }
    print_rows("sun or lamps", lamps);
    if (table.is_open()) write_table_row(table, "sun or lamps in the frame, of all these", lamps);
    std::printf("\n%zu frames, %d not read.\n", all.size(), unread);
    return 0;
  } catch (const std::exception& error) {
    std::cerr << "validate: " << error.what() << '\n';
    return 2;
  }
}
