// SPDX-License-Identifier: GPL-3.0-or-later
// Names of files and words of logs stay text: never markup, a formula, a script, or an order to the
// terminal, whatever is in them.
#include <gmock/gmock.h>
#include <gtest/gtest.h>

#include <fstream>
#include <nlohmann/json.hpp>
#include <set>
#include <sstream>

#include "cli/program_run.hpp"

namespace basefog {
namespace {

namespace fs = std::filesystem;
using ::testing::HasSubstr;
using ::testing::Not;

/// What has broken other people's pages, tables and terminals. No '/', which no file name holds.
const std::vector<std::string> kHostile = {
    "<script>alert(document.title)<\\script>",
    "\"><img src=x onerror=alert(document.title)>",
    "' onload='alert(document.title)",
    "]]><x:evil xmlns:x='urn:x'>",
    "--><b>&amp;&lt;&#x3c;i>",
    "=cmd|' !A",
    "+SUM(A:A)",
    "-x+y",
    "@SUM(A:A)",
    "\ttab",
    "line\nbreak\r\n=two",
    "\"quoted\", and more",
    "fit.\u202Egpj",
    "\x1b[31mred\x1b]0;title\x07",
    "写真 Brücke עברית",
    "caf\xe9 \xff\xc0\xaf",
    "${x} {{x}} %s%n `x`",
};

/// Letters only, and of the same kinds, so that frames are told apart and sorted alike.
std::string harmless(std::size_t k) {
  return std::string(" plain ") + static_cast<char>('a' + k % 26);
}

std::string csv_cell(const std::string& text) {
  std::string cell = "\"";
  for (const char c : text) cell += c == '"' ? std::string("\"\"") : std::string(1, c);
  return cell + "\"";
}

/// The cells of a table [RFC4180], each as a spreadsheet sees it.
std::vector<std::string> cells_of(const std::string& csv) {
  std::vector<std::string> cells{""};
  bool quoted = false;
  for (const char c : csv) {
    if (c == '"') {
      quoted = !quoted;
    } else if (!quoted && (c == ',' || c == '\n')) {
      cells.emplace_back();
    } else {
      cells.back() += c;
    }
  }
  return cells;
}

bool is_number(const std::string& cell) {
  char* end = nullptr;
  std::strtod(cell.c_str(), &end);
  return end != cell.c_str() && (*end == '\0' || *end == '\r');
}

void expect_no_formula(const fs::path& table) {
  const std::string csv = content_of(table);
  ASSERT_FALSE(csv.empty()) << table;
  for (const std::string& cell : cells_of(csv)) {
    const bool formula =
        !cell.empty() && std::string("=+-@\t\r").find(cell[0]) != std::string::npos;
    EXPECT_TRUE(!formula || is_number(cell) || cell == "\r") << table << ": " << cell;
  }
}

void expect_harmless_to_a_terminal(const std::string& text) {
  for (const char c : text) EXPECT_TRUE(c == '\n' || static_cast<unsigned char>(c) >= ' ');
  EXPECT_THAT(text, Not(HasSubstr("\u202E")));
}

/// Scans of the sample roll with these names, a log with these words, a camera and a film so
/// called, and all that the program makes of them.
class Roll {
 public:
  Roll(const std::vector<std::string>& words, const std::string& film) {
    const fs::path roll = folder_ / "shelf" / words[0];
    fs::create_directories(roll);
    std::string log =
        "camera: " + csv_cell(words[1]) + "\nfrom: x\n\nframe,shutter,scene,notes,lens\n";
    for (std::size_t k = 0; k < words.size(); ++k) {
      // Two scans only are pictures: the others show the errors.
      const std::string name = std::to_string(10 + k) + words[k] + ".tif";
      const fs::path scan = fs::path(BASEFOG_SAMPLES) / "roll" / "roll03_03.tif";
      if (k % 8 == 0) {
        fs::copy_file(scan, roll / name);
      } else {
        std::ofstream(roll / name) << "no scan";
      }
      log += std::to_string(10 + k) + ",1/60," + csv_cell(words[k]) + "," +
             csv_cell(words[(k + 1) % words.size()]) + "," + csv_cell(words[k]) + "\n";
    }
    std::ofstream(roll / "log.csv") << log;
    const std::string quoted = nlohmann::json(words[1]).dump();  // a string of TOML too
    camera_ = folder_.write("camera.toml", "name = " + quoted + "\n[[lens]]\nname = " + quoted +
                                               "\nfocal_length = 50\n");
    film_ =
        folder_.write("film.toml", "name = " + nlohmann::json(film).dump() + "\nnotes = " + quoted +
                                       "\nkind = \"bw\"\nspeed = 400\n[[layer]]\n");
    run({"review", roll, "--log", roll / "log.csv", "--camera", camera_, "--film", film_, "--out",
         folder_ / "one", "--sidecar"});
    run({"review", folder_ / "shelf", "--out", folder_ / "many"});
    run({"logsheet", folder_ / "sheet.svg", "--camera", camera_, "--roll", words[2], "--film",
         film});
    run({"logsheet", folder_ / "sheet.csv", "--camera", camera_, "--roll", words[5], "--film",
         film});
    run({"film", film_, "--plot", folder_ / "film.svg"});
    run({"log", roll / "log.csv"});
    run({"read", roll / ("10" + words[0] + ".tif"), roll / ("11" + words[1] + ".tif"),
         "--show-layout", folder_ / "layout"});
    run({"proof", roll, "--out", folder_ / "proof", "--sheet-only"});
  }

  /// Whether this machine has the reader of tags; then what it says of a file.
  std::string tags(const std::string& file) const {
    // Under a name that is harmless to the shell.
    const fs::path named = folder_ / ("checked" + fs::path(file).extension().string());
    const fs::path to = folder_ / "tags";
    fs::copy_file(folder_ / file, named, fs::copy_options::overwrite_existing);
    const std::string command =
        "python3 '" BASEFOG_FAULTS "/tags_of.py' '" + named.string() + "' > '" + to.string() + "'";
    EXPECT_EQ(std::system(command.c_str()), 0) << file << " is not well formed";
    return content_of(to);
  }

  const TestFolder& folder() const { return folder_; }

 private:
  void run(const std::vector<std::string>& words) {
    const ProgramRun run = run_program(words);
    EXPECT_NE(run.status, -1) << words[0] << ": " << run.err;
    expect_harmless_to_a_terminal(run.out);
    expect_harmless_to_a_terminal(run.err);
  }

  TestFolder folder_;
  std::string camera_;
  std::string film_;
};

std::multiset<std::string> lines_of(const std::string& text) {
  std::istringstream in(text);
  std::multiset<std::string> lines;
  for (std::string line; std::getline(in, line);) lines.insert(line);
  return lines;
}

TEST(Names, of_any_kind_stay_text_in_all_that_is_written) {
  std::vector<std::string> plain;
  for (std::size_t k = 0; k < kHostile.size(); ++k) plain.push_back(harmless(k));
  const Roll benign(plain, "film");
  const Roll hostile(kHostile, "<b>film</b>");
  if (std::system("python3 -c pass 2> /dev/null") == 0) {
    for (const char* file : {"one/report.html", "many/index.html", "film.svg"}) {
      const std::multiset<std::string> expected = lines_of(benign.tags(file));
      for (const std::string& tag : lines_of(hostile.tags(file))) {
        EXPECT_TRUE(expected.contains(tag)) << file << ": a name became the tag " << tag;
      }
      EXPECT_EQ(lines_of(hostile.tags(file)).count("script"), expected.count("script")) << file;
    }
    for (const auto& entry : fs::directory_iterator(hostile.folder() / "one" / "sidecars")) {
      EXPECT_THAT(hostile.tags("one/sidecars/" + entry.path().filename().string()),
                  Not(HasSubstr("evil")));
    }
    EXPECT_THAT(hostile.tags("sheet.svg"), Not(HasSubstr("img")));
  }
  for (const char* table : {"one/frames.csv", "one/match.csv", "many/rolls.csv", "sheet.csv"}) {
    expect_no_formula(hostile.folder() / table);
  }
  for (const char* page : {"one/report.html", "many/index.html", "sheet.svg"}) {
    const std::string text = content_of(hostile.folder() / page);
    EXPECT_THAT(text, Not(HasSubstr("\u202E"))) << page;
    EXPECT_THAT(text, Not(HasSubstr("\x1b"))) << page;
    EXPECT_THAT(text, Not(HasSubstr("<script>alert"))) << page;
  }
}

TEST(Names, come_back_from_json_as_they_were) {
  const Roll hostile(kHostile, "film");
  const auto review = nlohmann::json::parse(content_of(hostile.folder() / "one" / "review.json"));
  // Copies of one scan are named where it is said that they are.
  std::set<std::string> names;
  for (const char* list : {"frames", "warnings"}) {
    for (const auto& one : review.at(list)) {
      if (one.contains("file"))
        names.insert(fs::path(one.at("file").get<std::string>()).filename());
    }
  }
  std::size_t found = 0;
  for (std::size_t k = 0; k < kHostile.size(); ++k) {
    found += names.count(std::to_string(10 + k) + kHostile[k] + ".tif");
  }
  EXPECT_EQ(found, kHostile.size() - 1) << "all but the one that is no UTF-8";
}

TEST(Names, that_begin_like_a_formula_or_an_option_can_be_given) {
  const TestFolder folder;
  fs::create_directory(folder / "in");
  for (const char* name : {"=cmd.tif", "@SUM(A).tif", "-x.tif"}) {
    fs::copy_file(fs::path(BASEFOG_SAMPLES) / "roll" / "roll03_03.tif", folder / "in" / name);
  }
  const ProgramRun run =
      run_program({"review", "--csv", "-", "--quiet", "--json", folder / "review.json", "--",
                   "=cmd.tif", "@SUM(A).tif", "-x.tif"},
                  {"env", "-C", folder / "in"});
  EXPECT_EQ(run.status, 0) << run.err;
  expect_no_formula(folder.write("table.csv", run.out));
  EXPECT_THAT(run.out, HasSubstr("'=cmd.tif"));
}

}  // namespace
}  // namespace basefog
