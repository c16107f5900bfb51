// SPDX-License-Identifier: GPL-3.0-or-later
#include <fmt/format.h>

#include <nlohmann/json.hpp>

#include "basefog/report/question_wording.hpp"
#include "desk/pictures.hpp"
#include "desk/wire.hpp"
#include "page/html_parts.hpp"
#include "page/svg_charts.hpp"
#include "report/markup.hpp"
#include "report/wording.hpp"

namespace basefog::desk {
namespace {

using Json = nlohmann::json;

/// The sheet's row of a row of the log; null for rows that were made of a scan's own settings.
Json row_id(const Reviewed& reviewed, std::optional<std::size_t> row) {
  if (!row || !reviewed.analysis.log || *row >= reviewed.analysis.log->rows.size()) return {};
  const auto id = reviewed.row_on.find(reviewed.analysis.log->rows[*row].line);
  return id == reviewed.row_on.end() ? Json() : Json(id->second);
}

/// "film got −0.8 (−1.0 to −0.6), asked +0.2, deviation −1.0 (−1.2 to −0.8)"
std::string numbers_text(const roll::FrameResult& frame) {
  std::string text;
  const auto add = [&text](const char* what, const std::string& number) {
    text += (text.empty() ? "" : ", ") + std::string(what) + " " + number;
  };
  if (frame.reading && report::is_known(frame.reading->exposure.estimate)) {
    add("film got", report::estimate_text(frame.reading->exposure.estimate));
  }
  if (frame.expected) add("asked", report::signed_stops(*frame.expected));
  if (frame.deviation && report::is_known(*frame.deviation)) {
    add("deviation", report::estimate_text(*frame.deviation));
  }
  return report::typeset(text);
}

Json picture_json(const Reviewed& reviewed, std::size_t place, const std::string& name, int scan,
                  const page::FrameImages& images) {
  const roll::Analysis& analysis = reviewed.analysis;
  const roll::FrameResult& frame = analysis.frames[place];
  Json json = {{"picture", {scan, frame.measurement.index}},
               {"name", report::printable(name)},
               {"label", report::printable(frame.measurement.label)},
               {"row", row_id(reviewed, frame.log_row)},
               {"words", report::typeset(report::printable(report::picture_text(frame)))},
               {"class", page::verdict_class(frame)},
               {"numbers", numbers_text(frame)}};
  if (analysis.matching && place < analysis.matching->frames.size()) {
    json["fixed"] = analysis.matching->frames[place].fixed;
    json["doubt"] = report::printable(report::possible_rows_text(analysis, place));
  }
  if (const auto& image = images.straight ? images.straight : images.scan) {
    json["image"] = {image->source, image->width, image->height};
  }
  return json;
}

/// What a button of a question does.
struct Doing {
  const Reviewed& reviewed;
  const roll::Choice& choice;

  Json operator()(const roll::FrameHasRow& answer) const {
    return {{"fix", answer.frame}, {"row", row_id(reviewed, answer.row)}};
  }
  Json operator()(const roll::LogIsOfRoll& answer) const {
    return {{"log_is_of_roll", answer.of_roll}};
  }
  Json operator()(const roll::NamedAnswer& answer) const {
    // "--film colour": a setting of that name.
    std::string key = choice.option.substr(0, choice.option.find(' '));
    key.erase(0, key.find_first_not_of('-'));
    const std::size_t space = choice.option.find(' ');
    return {{"key", key},
            {"value", space == std::string::npos ? answer.name : choice.option.substr(space + 1)}};
  }
};

Json questions_json(const Reviewed& reviewed) {
  Json questions = Json::array();
  for (const roll::Question& question : reviewed.analysis.questions) {
    const report::QuestionWords words = report::question_words(reviewed.analysis, question);
    Json choices = Json::array();
    for (std::size_t i = 0; i < words.choices.size(); ++i) {
      const roll::Choice& choice = question.choices[i];
      std::string meaning = report::printable(words.choices[i].meaning);
      if (choice.chance) {
        meaning =
            fmt::format("{:.0f} %", 100 * *choice.chance) + (meaning.empty() ? "" : "; " + meaning);
      }
      choices.push_back({{"answer", report::printable(words.choices[i].answer)},
                         {"meaning", report::typeset(meaning)},
                         {"does", std::visit(Doing{reviewed, choice}, choice.answer)}});
    }
    questions.push_back({{"text", report::printable(words.text)}, {"choices", choices}});
  }
  return questions;
}

}  // namespace

std::string page_json(const Reviewed& reviewed, const std::map<std::filesystem::path, int>& ids) {
  const roll::Analysis& analysis = reviewed.analysis;
  const std::vector<page::FrameImages> images = picture_addresses(analysis, reviewed.setup);
  const std::vector<std::string> names = report::frame_names(analysis);
  Json pictures = Json::array();
  for (std::size_t i = 0; i < analysis.frames.size(); ++i) {
    const auto id = ids.find(analysis.frames[i].measurement.file);
    pictures.push_back(
        picture_json(reviewed, i, names[i], id == ids.end() ? 0 : id->second, images[i]));
  }
  Json parts = Json::array();
  for (const page::PagePart& part : page::page_parts(analysis, images)) {
    parts.push_back({part.name, part.html});
  }
  return Json({{"title", report::printable(page::title_of(analysis))},
               {"meta", report::printable(page::meta_line(analysis))},
               {"pictures", pictures},
               {"questions", questions_json(reviewed)},
               {"parts", parts}})
      .dump(-1, ' ', false, Json::error_handler_t::replace);
}

}  // namespace basefog::desk
