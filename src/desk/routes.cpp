// SPDX-License-Identifier: GPL-3.0-or-later
#include "desk/routes.hpp"

#include <array>
#include <charconv>
#include <fstream>
#include <sstream>

#include "basefog/core/error.hpp"
#include "basefog/core/limits.hpp"
#include "core/text_file.hpp"
#include "desk/desk_files.hpp"
#include "desk/desk_page.hpp"
#include "desk/desk_texts.hpp"
#include "desk/pictures.hpp"
#include "desk/wire.hpp"
#include "page/page_files.hpp"

namespace basefog::desk {
namespace {

constexpr const char* kHtml = "text/html; charset=utf-8";
constexpr const char* kJson = "application/json";
constexpr const char* kTable = "text/csv; charset=utf-8";
constexpr int kBadRequest = 400;
constexpr int kNotFound = 404;
constexpr int kConflict = 409;
constexpr int kCannotKeep = 507;

Answer no(int status, std::string why = "") {
  return {.status = status, .type = "text/plain; charset=utf-8", .body = std::move(why)};
}

struct Text {
  std::string_view place;
  const char* type;
  std::string_view text;
};

/// A frame on film: its picture between two rows of holes.
constexpr std::string_view kIcon =
    "<svg xmlns=\"http://www.w3.org/2000/svg\" viewBox=\"0 0 32 32\"><path fill=\"#14120f\" "
    "d=\"M0 2h32v28H0z\"/><path fill=\"#ece7db\" d=\"M4 9h24v14H4z\"/><path stroke=\"#ece7db\" "
    "stroke-width=\"3\" stroke-dasharray=\"4 4\" d=\"M2 5.5h28M2 26.5h28\"/></svg>\n";

constexpr std::array kTexts{
    Text{"page.css", "text/css; charset=utf-8", page::kPageStyle},
    Text{"desk.css", "text/css; charset=utf-8", kDeskStyle},
    Text{"page.js", "text/javascript; charset=utf-8", page::kPageScript},
    Text{"icon.svg", "image/svg+xml", kIcon},
    Text{"desk.js", "text/javascript; charset=utf-8", kDeskScript},
};

/// "seen" of "seen=3&has=2"; 0 where it is not there.
std::uint64_t number_in(std::string_view query, std::string_view name) {
  std::uint64_t number = 0;
  for (std::size_t at = 0; at < query.size();) {
    const std::string_view one = query.substr(at, query.find('&', at) - at);
    at += one.size() + 1;
    if (!one.starts_with(name) || one.size() <= name.size() || one[name.size()] != '=') continue;
    const std::string_view value = one.substr(name.size() + 1);
    std::from_chars(value.data(), value.data() + value.size(), number);
  }
  return number;
}

Answer view_answer(RollDesk& desk, std::string_view query) {
  // Shorter than browsers and servers wait by themselves.
  constexpr std::chrono::seconds kMostWait{10};
  const DeskView view = desk.view(number_in(query, "seen"), kMostWait);
  return {.type = kJson, .body = view_json(view, static_cast<int>(number_in(query, "has")))};
}

/// The view after a change, for the window that made it.
Answer after(RollDesk& desk, bool done, std::string_view query) {
  Answer answer{.type = kJson,
                .body = view_json(desk.view(0, {}), static_cast<int>(number_in(query, "has")))};
  if (!done) answer.status = kConflict;
  return answer;
}

Answer take_back(RollDesk& desk, const Call& call, bool (RollDesk::*way)(int)) {
  const auto base = base_of(call.body);
  return base ? after(desk, (desk.*way)(*base), call.query) : no(kBadRequest);
}

Answer changed(RollDesk& desk, const Call& call, const std::optional<Wish>& wish) {
  if (!wish) return no(kBadRequest);
  return after(desk, desk.change(wish->base, wish->to, wish->step), call.query);
}

Answer post(RollDesk& desk, std::string_view place, const Call& call) {
  try {
    if (place == "sheet") return changed(desk, call, sheet_wish(call.body, desk.view(0, {})));
    if (place == "paste") return changed(desk, call, paste_wish(call.body));
    if (place == "answer") return changed(desk, call, answer_wish(call.body));
    if (place == "undo") return take_back(desk, call, &RollDesk::undo);
    if (place == "redo") return take_back(desk, call, &RollDesk::redo);
  } catch (const InputError& error) {
    return no(kCannotKeep, error.what());
  }
  return no(kNotFound);
}

Answer get(RollDesk& desk, std::string_view place, const Call& call) {
  if (place.empty()) return {.type = kHtml, .body = roll_page()};
  if (place == "view") return view_answer(desk, call.query);
  for (const char* file : {kLogFile, kMatchFile}) {
    if (place != file) continue;
    try {
      return {
          .type = kTable,
          .body = read_text_file(desk.place().folder / file, {"a table", limits::kMostLogBytes})};
    } catch (const InputError&) {
      return no(kNotFound);  // nothing was written yet
    }
  }
  const auto reviewed = desk.view(0, {}).reviewed;
  auto picture = reviewed ? picture_at(place, reviewed->analysis, reviewed->setup) : std::nullopt;
  if (!picture) return no(kNotFound);
  return {.type = "image/jpeg", .body = *std::move(picture), .keep = true};
}

/// "roll/12/view": the roll's number, and what follows it.
std::optional<std::pair<std::size_t, std::string_view>> roll_place(std::string_view place) {
  constexpr std::string_view kBefore = "roll/";
  if (!place.starts_with(kBefore)) return std::nullopt;
  place.remove_prefix(kBefore.size());
  std::size_t number = 0;
  const auto [end, error] = std::from_chars(place.data(), place.data() + place.size(), number);
  const auto digits = static_cast<std::size_t>(end - place.data());
  if (error != std::errc{} || number == 0 || digits >= place.size() || place[digits] != '/') {
    return std::nullopt;
  }
  return std::pair(number - 1, place.substr(digits + 1));
}

}  // namespace

Answer answer(const Call& call, Shelf& shelf) {
  if (!call.post) {
    for (const Text& text : kTexts) {
      if (call.place == text.place) return {.type = text.type, .body = std::string(text.text)};
    }
    if (call.place.empty()) return {.type = kHtml, .body = shelf_page(shelf.rolls())};
  }
  const auto place = roll_place(call.place);
  if (!place) return no(kNotFound);
  try {
    const std::shared_ptr<RollDesk> desk = shelf.desk(place->first);
    if (!desk) return no(kNotFound);
    return call.post ? post(*desk, place->second, call) : get(*desk, place->second, call);
  } catch (const InputError& error) {
    return no(kCannotKeep, error.what());
  }
}

}  // namespace basefog::desk
