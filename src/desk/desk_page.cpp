// SPDX-License-Identifier: GPL-3.0-or-later
#include "desk/desk_page.hpp"

#include "page/html_parts.hpp"
#include "report/markup.hpp"
#include "report/svg_axis.hpp"

namespace basefog::desk {
namespace {

/// up: the way from the page to where style and script lie.
void put_desk_head(std::string& out, const char* title, const char* up) {
  report::put(out,
              "<!DOCTYPE html>\n<html lang=\"en-GB\">\n<head>\n<meta charset=\"utf-8\">\n"
              "<meta name=\"viewport\" content=\"width=device-width, initial-scale=1\">\n"
              "<title>{0}</title>\n<link rel=\"stylesheet\" href=\"{1}page.css\">\n"
              "<link rel=\"stylesheet\" href=\"{1}desk.css\">\n"
              "<link rel=\"icon\" href=\"{1}icon.svg\">\n</head>\n",
              title, up);
}

std::string counted(std::size_t count, const char* one, const char* many) {
  return std::to_string(count) + " " + (count == 1 ? one : many);
}

}  // namespace

std::string roll_page() {
  std::string out;
  put_desk_head(out, "A roll on the desk", "../../");
  out +=
      "<body class=\"desk\">\n<a class=\"skip\" href=\"#notebook\">To the notebook</a>\n"
      "<header class=\"page-head\"><h1 id=\"title\">A roll on the desk</h1>"
      "<p class=\"meta\" id=\"meta\">Looking for scans\u2026</p></header>\n"
      "<div class=\"ledge\"><div><span id=\"kept\" role=\"status\"></span>"
      "<button type=\"button\" id=\"undo\">Take back</button>"
      "<button type=\"button\" id=\"redo\">Do again</button></div></div>\n"
      "<main>\n<div data-part=\"next\"></div>\n"
      "<section id=\"incoming\" aria-labelledby=\"incoming-title\" hidden>"
      "<h2 id=\"incoming-title\">Scans coming in</h2><p id=\"incoming-say\" role=\"status\"></p>"
      "<progress id=\"incoming-bar\" aria-labelledby=\"incoming-title\" hidden></progress>"
      "<details id=\"incoming-more\" hidden><summary id=\"incoming-sum\"></summary>"
      "<ul class=\"warnings\" id=\"incoming-list\"></ul></details></section>\n"
      "<section aria-labelledby=\"notebook\"><h2 id=\"notebook\" tabindex=\"-1\">The "
      "notebook</h2>\n"
      "<div id=\"questions\"></div>\n<div id=\"facts\" class=\"facts-line\"></div>\n"
      "<p class=\"note\" id=\"whole\"></p>\n"
      "<div class=\"lines\" id=\"lines\" role=\"group\" aria-labelledby=\"notebook\"></div>\n"
      "<div class=\"tools\"><button type=\"button\" id=\"add\">Add a row</button>"
      "<button type=\"button\" id=\"turn\">Turn the order round</button>"
      "<button type=\"button\" id=\"paste\" aria-expanded=\"false\">Paste a whole log</button>"
      "<a href=\"log.csv\" download=\"log.csv\">Save log.csv</a>"
      "<a href=\"match.csv\" download=\"match.csv\">Save match.csv</a></div>\n"
      "<div id=\"paste-box\" hidden><label for=\"paste-text\">The log as text, or cells from a "
      "spreadsheet; its first line names the columns</label>"
      "<textarea id=\"paste-text\" rows=\"8\" spellcheck=\"false\"></textarea>"
      "<button type=\"button\" id=\"paste-do\">Take these rows instead</button>"
      "<p id=\"paste-say\" role=\"status\"></p></div>\n"
      "<details class=\"keys\"><summary>Without the mouse</summary><dl>"
      "<dt>Tab</dt><dd>the next cell</dd>"
      "<dt>Enter, arrow down</dt><dd>the same cell of the next picture; with Shift, or arrow up, "
      "of "
      "the one before</dd>"
      "<dt>\"</dt><dd>as above, as in a notebook</dd>"
      "<dt>Ctrl and Enter</dt><dd>this cell into all empty ones below it</dd>"
      "<dt>Alt and arrow up or down</dt><dd>the row to the picture before or after</dd>"
      "<dt>Ctrl and Z</dt><dd>take back; with Shift, do again</dd></dl></details>\n</section>\n";
  for (const char* part :
       {"roll", "along", "meter", "frames", "log", "curve", "care", "how", "words"}) {
    report::put(out, "<div data-part=\"{}\"></div>\n", part);
  }
  out += "</main>\n";
  page::put_foot(out);
  out +=
      "<script src=\"../../page.js\"></script>\n<script src=\"../../desk.js\"></script>\n"
      "</body>\n</html>\n";
  return out;
}

std::string shelf_page(std::span<const ShelfRoll> rolls) {
  std::string out;
  put_desk_head(out, "The shelf", "");
  report::put(out,
              "<body class=\"desk\">\n<header class=\"page-head\"><h1>The shelf</h1>"
              "<p class=\"meta\">{}.</p></header>\n<main>\n<section aria-labelledby=\"rolls\">"
              "<h2 id=\"rolls\">Rolls</h2>\n<ul class=\"shelf\">\n",
              counted(rolls.size(), "roll", "rolls"));
  for (std::size_t i = 0; i < rolls.size(); ++i) {
    const ShelfRoll& roll = rolls[i];
    report::put(
        out, "<li><a href=\"roll/{}/\">{}</a> <span class=\"note\">{}, {}</span></li>\n", i + 1,
        report::escape_markup(roll.name), counted(roll.scans, "scan", "scans"),
        roll.rows == 0 ? "nothing written yet" : counted(roll.rows, "row written", "rows written"));
  }
  out += "</ul></section>\n</main>\n</body>\n</html>\n";
  return out;
}

}  // namespace basefog::desk
