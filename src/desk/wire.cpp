// SPDX-License-Identifier: GPL-3.0-or-later
#include "desk/wire.hpp"

#include <charconv>
#include <utility>

#include "basefog/core/error.hpp"
#include "basefog/core/film_kind.hpp"
#include "basefog/log/log.hpp"
#include "basefog/report/log_wording.hpp"
#include "desk/sheet_json.hpp"
#include "report/markup.hpp"
#include "report/wording.hpp"

namespace basefog::desk {
namespace {

using Json = nlohmann::json;

std::string dumped(const Json& json) {
  return json.dump(-1, ' ', false, Json::error_handler_t::replace);
}

/// What the log's reader makes of each row, and what it doubts in which of its cells.
Json understood_json(const Sheet& sheet) {
  Json rows = Json::object();
  const WrittenLog written = write_log(sheet);
  const auto row_of = [&](int line) -> Json* {
    const auto id = written.row_on.find(line);
    return id == written.row_on.end() ? nullptr : &rows[std::to_string(id->second)];
  };
  try {
    const log::ShotLog log = log::parse_shot_log(written.text, "log.csv");
    for (const log::LogRow& row : log.rows) {
      Json* one = row_of(row.line);
      if (one == nullptr) continue;
      std::string text = report::settings_text(row);
      if (row.no_picture) text += text.empty() ? "no picture" : ", no picture";
      if (one->contains("text")) text = one->at("text").get<std::string>() + "; " + text;
      (*one)["text"] = report::typeset(report::printable(text));
    }
    Json whole = Json::array();
    for (const log::LogRemark& remark : log.remarks) {
      const std::string text = report::printable(report::remark_text(remark));
      if (Json* one = row_of(remark.line)) {
        (*one)["doubts"].push_back({{"column", remark.column}, {"text", text}});
      } else {
        whole.push_back(text);
      }
    }
    return {{"rows", rows}, {"whole", whole}};
  } catch (const InputError&) {  // no row yet
    return {{"rows", rows}, {"whole", Json::array()}};
  }
}

/// Flags that are about the scan and not about what was photographed.
bool is_of_scan(Flag flag) {
  switch (flag) {
    case Flag::infrared_ignored:
    case Flag::other_pages_ignored:
    case Flag::metadata_ignored:
    case Flag::blank:
      return false;
    default:
      return flag < Flag::shadows_on_base || flag == Flag::unreadable_file;
  }
}

FlagSet flags_of(const DeskScan& scan, const Reviewed* reviewed) {
  FlagSet flags;
  for (const density::FrameMeasurement& frame : scan.record->frames) flags.insert(frame.flags);
  if (reviewed == nullptr) return flags;
  for (const roll::FrameResult& frame : reviewed->analysis.frames) {
    if (frame.measurement.file == scan.file) flags.insert(frame.flags);
  }
  return flags;
}

/// One scan and what is good or wrong about it as a scan.
Json scan_json(const DeskScan& scan, const Reviewed* reviewed) {
  Json json = {{"id", scan.id}, {"name", report::printable(scan.file.filename().string())}};
  json["state"] = scan.settled == 0               ? "coming"
                  : scan.reading                  ? "reading"
                  : scan.record && scan.read != 0 ? "read"
                                                  : "waiting";
  if (!scan.record) return json;
  Json wrong = Json::array();
  if (const auto& failure = scan.record->failure) {
    wrong.push_back({{"what", "It " + report::printable(failure->text) + "."},
                     {"next", report::sentence_case(report::printable(failure->next_step)) + "."}});
  }
  for (const Flag flag : flags_of(scan, reviewed).list()) {
    if (!is_of_scan(flag) || (scan.record->failure && flag == Flag::unreadable_file)) continue;
    wrong.push_back({{"what", text_of(flag).long_text}, {"next", text_of(flag).next_step}});
  }
  json["wrong"] = wrong;
  bool clear_film = false;
  for (const density::FrameMeasurement& frame : scan.record->frames) {
    clear_film |= frame.rebate.kind != density::ReferenceKind::none;
  }
  if (clear_film) json["good"] = "clear film in view";
  return json;
}

Json reading_json(const ReadingProgress& reading) {
  Json json = {{"done", reading.done}, {"all", reading.all}};
  const std::chrono::duration<double> took = std::chrono::steady_clock::now() - reading.began;
  if (reading.done > 0) {
    const auto left = static_cast<double>(reading.all - reading.done);
    json["seconds"] = took.count() / static_cast<double>(reading.done) * left;
  }
  return json;
}

Json fixed_json(const DeskView& view) {
  Json fixed = Json::array();
  for (const FixedRow& one : view.state.sheet.fixed) {
    for (const DeskScan& scan : view.scans) {
      if (scan.file.filename().string() != one.picture.file) continue;
      fixed.push_back(
          {{"picture", {scan.id, one.picture.index}}, {"row", one.row ? Json(*one.row) : Json()}});
    }
  }
  return fixed;
}

/// The words of the settings that a question may be answered with.
bool is_answer(const std::string& key, const std::string& value) {
  if (key == "film") return film_kind_of(value).has_value();
  if (key != "response") return false;
  if (value == "linear" || value == "srgb") return true;
  constexpr std::string_view kGamma = "gamma=";
  double exponent = 0;
  const char* end = value.data() + value.size();
  if (!value.starts_with(kGamma)) return false;
  const auto [at, error] = std::from_chars(value.data() + kGamma.size(), end, exponent);
  return error == std::errc{} && at == end && exponent > 0 && exponent < 10;
}

/// Parses a body; what it holds may still be anything.
template <class Read>
auto read_json(std::string_view body, const Read& read) -> decltype(read(Json())) {
  try {
    return read(Json::parse(body));
  } catch (const Json::exception&) {
    return std::nullopt;
  }
}

}  // namespace

std::string view_json(const DeskView& view, int has) {
  const Reviewed* reviewed = view.reviewed.get();
  Json sheet = rows_json(view.state.sheet);
  sheet["fixed"] = fixed_json(view);
  Json json = {{"version", view.version},
               {"state", view.state.number},
               {"undo", view.state.before.has_value()},
               {"redo", view.state.after.has_value()},
               {"sheet", sheet},
               {"understood", understood_json(view.state.sheet)},
               {"failure", report::printable(view.failure)},
               {"current", view.up_to_date},
               {"reading", reading_json(view.reading)},
               {"scans", Json::array()}};
  for (const DeskScan& scan : view.scans) json["scans"].push_back(scan_json(scan, reviewed));
  if (reviewed != nullptr) {
    json["review"] = reviewed->number;
    json["reviewed"] = reviewed->state;
  }
  std::string text = dumped(json);
  if (reviewed != nullptr && reviewed->number != has) {
    text.pop_back();
    text += ",\"page\":" + reviewed->page + "}";
  }
  return text;
}

std::optional<Wish> sheet_wish(std::string_view body, const DeskView& view) {
  return read_json(body, [&](const Json& json) -> std::optional<Wish> {
    Sheet sheet = sheet_of_rows(json);
    std::map<int, std::string> files;
    for (const DeskScan& scan : view.scans) files[scan.id] = scan.file.filename().string();
    for (const Json& fixed : json.at("fixed")) {
      const auto file = files.find(fixed.at("picture").at(0).get<int>());
      const int index = fixed.at("picture").at(1).get<int>();
      if (file == files.end() || index < 0) return std::nullopt;
      const Json& row = fixed.at("row");
      sheet.fixed.push_back(
          {{file->second, index}, row.is_null() ? std::nullopt : std::optional(row.get<int>())});
    }
    auto good = checked(std::move(sheet));
    if (!good) return std::nullopt;
    return Wish{.base = json.at("base").get<int>(),
                .step = json.at("step").get<std::string>().substr(0, 60),
                .to = [sheet = *std::move(good), files](const Sheet& now) {
                  Sheet next = sheet;
                  next.settings = now.settings;
                  // What was said of scans that are away is not for this page to forget.
                  for (const FixedRow& fixed : now.fixed) {
                    const bool here = std::ranges::any_of(
                        files, [&](const auto& file) { return file.second == fixed.picture.file; });
                    if (!here) next.fixed.push_back(fixed);
                  }
                  return checked(std::move(next));
                }};
  });
}

std::optional<Wish> paste_wish(std::string_view body) {
  return read_json(body, [](const Json& json) -> std::optional<Wish> {
    auto pasted = sheet_of(json.at("text").get<std::string>());
    if (!pasted) return std::nullopt;
    return Wish{.base = json.at("base").get<int>(),
                .step = "",
                .to = [sheet = *std::move(pasted)](const Sheet& now) -> std::optional<Sheet> {
                  Sheet next = sheet;
                  next.settings = now.settings;
                  if (next.facts.empty()) next.facts = now.facts;
                  return next;
                }};
  });
}

std::optional<Wish> answer_wish(std::string_view body) {
  return read_json(body, [](const Json& json) -> std::optional<Wish> {
    const auto key = json.at("key").get<std::string>();
    const auto value = json.at("value").get<std::string>();
    if (!is_answer(key, value)) return std::nullopt;
    return Wish{.base = json.at("base").get<int>(),
                .step = "",
                .to = [key, value](const Sheet& now) -> std::optional<Sheet> {
                  Sheet next = now;
                  next.settings[key] = value;
                  return next;
                }};
  });
}

std::optional<int> base_of(std::string_view body) {
  return read_json(
      body, [](const Json& json) -> std::optional<int> { return json.at("base").get<int>(); });
}

}  // namespace basefog::desk
