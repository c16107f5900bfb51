// SPDX-License-Identifier: GPL-3.0-or-later
// Help, manual and completions, judged by the programs that read them.
#include <gmock/gmock.h>
#include <gtest/gtest.h>

#include <algorithm>
#include <cstdio>
#include <set>
#include <sstream>

#include "cli/program_run.hpp"

namespace basefog {
namespace {

using ::testing::ContainsRegex;
using ::testing::HasSubstr;
using ::testing::IsEmpty;
using ::testing::IsSupersetOf;
using ::testing::Not;

struct ShellRun {
  int status = -1;
  std::string out;
};

ShellRun shell(const std::string& command) {
  FILE* pipe = popen(command.c_str(), "r");
  std::string text;
  char buffer[4096];
  while (std::size_t count = fread(buffer, 1, sizeof buffer, pipe)) text.append(buffer, count);
  return {pclose(pipe), text};
}

bool installed(const std::string& program) {
  return shell("command -v " + program + " > /dev/null && echo yes").out == "yes\n";
}

const std::vector<std::vector<std::string>> kCommands = {{},
                                                         {"review"},
                                                         {"proof"},
                                                         {"card"},
                                                         {"log"},
                                                         {"film"},
                                                         {"manual"},
                                                         {"completion"},
                                                         {"logsheet"},
                                                         {"calibrate"},
                                                         {"calibrate", "film"},
                                                         {"calibrate", "scanner"}};

TEST(Words, every_help_fits_80_columns_and_says_how_to_call) {
  for (std::vector<std::string> words : kCommands) {
    words.emplace_back("--help");
    const ProgramRun run = run_program(words);
    EXPECT_EQ(run.status, 0);
    EXPECT_THAT(run.out, HasSubstr("Usage: basefog"));
    EXPECT_THAT(run.out, Not(HasSubstr("REQUIRED")));
    std::istringstream lines(run.out);
    for (std::string line; std::getline(lines, line);) EXPECT_LE(line.size(), 80u) << line;
  }
}

TEST(Words, wrong_words_name_the_help_to_read) {
  const ProgramRun run = run_program({"review", "x", "--nonsense"});
  EXPECT_EQ(run.status, 2);
  EXPECT_THAT(run.err, HasSubstr("See basefog review --help"));
  EXPECT_THAT(run_program({"calibrate", "film"}).err, HasSubstr("basefog calibrate film --help"));
}

TEST(Words, that_were_mistyped_are_met_with_the_nearest) {
  const auto said = [](const std::vector<std::string>& words) {
    const ProgramRun run = run_program(words);
    EXPECT_EQ(run.status, 2);
    return run.err;
  };
  EXPECT_THAT(said({"reveiw", "scans"}), HasSubstr("no command reveiw, did you mean review?"));
  EXPECT_THAT(said({"calibrate", "scaner"}), HasSubstr("did you mean scanner?"));
  EXPECT_THAT(said({"review", "x", "--lgo", "roll.csv"}), HasSubstr("did you mean --log?"));
  EXPECT_THAT(said({"review", "x", "--film-sped=400"}), HasSubstr("did you mean --film-speed?"));
  EXPECT_THAT(said({"manual", "kamera"}), HasSubstr("did you mean camera?"));
  // Nothing is near.
  EXPECT_THAT(said({"develop"}), Not(HasSubstr("did you mean")));
}

TEST(Words, name_with_a_slip_is_one_error) {
  const std::string scan = BASEFOG_SAMPLES "/roll/roll03_01.tif";
  for (const std::vector<std::string>& words :
       std::vector<std::vector<std::string>>{{"review", "scns"},
                                             {"review", scan, "roll03_0l.tif"},
                                             {"review", scan, "--log", "lgo.csv"},
                                             {"proof", "scns", "--out", "proofs"},
                                             {"card", "scns", "--out", "card.pdf"},
                                             {"read", "scns"},
                                             {"calibrate", "film", "scns"}}) {
    const ProgramRun run = run_program(words);
    EXPECT_EQ(run.status, 2) << words.front();
    EXPECT_EQ(run.out, "") << words.front();
    EXPECT_THAT(run.err, ContainsRegex("^basefog: [^\n]* does not exist[^\n]*\n$"));
  }
}

/// The first word of each line of `basefog manual` that lists a topic.
std::vector<std::string> topics() {
  std::vector<std::string> names;
  std::istringstream lines(run_program({"manual"}).out);
  for (std::string line; std::getline(lines, line);) {
    if (line.starts_with("  ") && line[2] != ' ')
      names.push_back(line.substr(2, line.find(' ', 2) - 2));
  }
  return names;
}

TEST(Manual, lists_topics_and_prints_each_within_80_columns) {
  EXPECT_THAT(topics(), IsSupersetOf({"commands", "camera", "flags", "limits", "json"}));
  for (const std::string& name : topics()) {
    const ProgramRun run = run_program({"manual", name});
    EXPECT_EQ(run.status, 0) << name;
    EXPECT_GT(run.out.size(), 200u) << name;
    // Every place for a table or a number was filled.
    EXPECT_THAT(run.out, Not(ContainsRegex("[{][a-z]+-[a-z]+[}]|[{]kMost"))) << name;
    std::istringstream lines(run.out);
    for (std::string line; std::getline(lines, line);) EXPECT_LE(line.size(), 80u) << line;
  }
  const ProgramRun wrong = run_program({"manual", "kamera"});
  EXPECT_EQ(wrong.status, 2);
  EXPECT_THAT(wrong.err, HasSubstr("there is no topic kamera"));
}

TEST(Manual, is_clean_for_man_and_mandoc) {
  const TestFolder folder;
  for (const std::string& name : topics()) {
    const std::string source = run_program({"manual", name, "--man"}).out;
    EXPECT_TRUE(std::ranges::all_of(source, [](char c) { return c >= 0; })) << name;
    const std::filesystem::path page = folder.write(name + ".man", source);
    if (!installed("mandoc")) continue;
    const ShellRun lint = shell("mandoc -T lint -W warning '" + page.string() + "' 2>&1");
    EXPECT_THAT(lint.out, IsEmpty());
  }
  if (!installed("mandoc")) GTEST_SKIP() << "mandoc is not installed";
  const std::string page = (folder / "commands.man").string();
  const ShellRun text = shell("mandoc -T ascii '" + page + "' | sed 's/.\x08//g'");
  for (const char* said :
       {"NAME", "basefog review", "--sidecar-beside", "EXIT STATUS", "NO_COLOR"}) {
    EXPECT_THAT(text.out, HasSubstr(said));
  }
}

/// All options that help names, a command a line.
std::set<std::string> options_in(const std::string& text) {
  std::set<std::string> found;
  for (std::size_t at = text.find("--"); at != std::string::npos; at = text.find("--", at + 2)) {
    const std::size_t end = text.find_first_not_of("abcdefghijklmnopqrstuvwxyz-", at);
    if (end > at + 3) found.insert(text.substr(at, end - at));
  }
  return found;
}

TEST(Words, manual_and_completions_know_every_option_of_the_help) {
  std::string manual = run_program({"manual", "commands", "--man"}).out;
  for (std::size_t at; (at = manual.find("\\-")) != std::string::npos;) manual.replace(at, 2, "-");
  const std::string bash = run_program({"completion", "bash"}).out;
  const std::string zsh = run_program({"completion", "zsh"}).out;
  const std::string fish = run_program({"completion", "fish"}).out;
  for (std::vector<std::string> words : kCommands) {
    words.emplace_back("--help");
    for (const std::string& option : options_in(run_program(words).out)) {
      EXPECT_THAT(manual, HasSubstr(option));
      EXPECT_THAT(bash, HasSubstr(option));
      EXPECT_THAT(zsh, HasSubstr(option));
      EXPECT_THAT(fish, HasSubstr("-l " + option.substr(2)));
    }
  }
}

TEST(Words, shells_take_their_completions) {
  const TestFolder folder;
  for (const std::string name : {"bash", "zsh", "fish"}) {
    const std::filesystem::path script =
        folder.write("script." + name, run_program({"completion", name}).out);
    if (!installed(name)) continue;
    const ShellRun check = shell(name + " -n '" + script.string() + "' 2>&1");
    EXPECT_EQ(check.status, 0) << name;
    EXPECT_THAT(check.out, IsEmpty()) << name;
  }
}

/// What bash offers for the last of these words.
std::string offered(const TestFolder& folder, const std::string& words) {
  const auto script = folder.write("bash", run_program({"completion", "bash"}).out);
  const std::string ask = "source '" + script.string() + "'; COMP_WORDS=(" + words +
                          "); COMP_CWORD=$((${#COMP_WORDS[@]} - 1)); _basefog; "
                          "printf '%s\\n' \"${COMPREPLY[@]}\"";
  folder.write("ask", ask);
  return shell("cd '" + folder.string() + "' && bash ask 2>&1").out;
}

TEST(Words, bash_offers_commands_options_choices_and_files) {
  const TestFolder folder;
  folder.write("roll one.csv", "");
  EXPECT_THAT(offered(folder, "basefog re"), HasSubstr("review\n"));
  EXPECT_THAT(offered(folder, "basefog calibrate ''"), HasSubstr("scanner\nfilm\n"));
  EXPECT_THAT(offered(folder, "basefog review --side"), HasSubstr("--sidecar-beside\n"));
  EXPECT_THAT(offered(folder, "basefog calibrate scanner --pat"), HasSubstr("--patches\n"));
  EXPECT_EQ(offered(folder, "basefog review x --style w"), "wide\n");
  EXPECT_EQ(offered(folder, "basefog review x --log roll"), "roll one.csv\n");
  // bash takes "--style=w" apart at the sign.
  EXPECT_EQ(offered(folder, "basefog review x --style = w"), "wide\n");
  EXPECT_EQ(offered(folder, "basefog review x --log = roll"), "roll one.csv\n");
  EXPECT_THAT(offered(folder, "basefog review x --style ="), HasSubstr("table\nwide\nlist\n"));
  EXPECT_EQ(offered(folder, "basefog completion f"), "fish\n");
  EXPECT_EQ(offered(folder, "basefog manual cam"), "camera\n");
}

TEST(Words, fish_offers_options_of_the_command_alone) {
  if (!installed("fish")) GTEST_SKIP() << "fish is not installed";
  const TestFolder folder;
  const auto script = folder.write("c.fish", run_program({"completion", "fish"}).out);
  const auto ask = [&](const std::string& line) {
    return shell("HOME='" + folder.string() + "' fish -c 'source " + script.string() +
                 "; complete -C \"" + line + "\"' 2>&1")
        .out;
  };
  EXPECT_THAT(ask("basefog rev"), HasSubstr("review\t"));
  EXPECT_THAT(ask("basefog review --side"), HasSubstr("--sidecar-beside\t"));
  EXPECT_THAT(ask("basefog calibrate film --"), Not(HasSubstr("--sidecar")));
  EXPECT_THAT(ask("basefog calibrate film --"), HasSubstr("--trusted-exposures"));
  EXPECT_THAT(ask("basefog review x --style "), HasSubstr("wide"));
}

}  // namespace
}  // namespace basefog
