// SPDX-License-Identifier: GPL-3.0-or-later
#include "desk/history.hpp"

#include <fmt/format.h>

#include <algorithm>
#include <charconv>
#include <nlohmann/json.hpp>
#include <utility>
#include <vector>

#include "basefog/core/error.hpp"
#include "basefog/core/limits.hpp"
#include "core/text_file.hpp"
#include "core/whole_file.hpp"

namespace basefog::desk {
namespace fs = std::filesystem;
using Json = nlohmann::json;
namespace {

/// A roll has some hundred changes; older ones go.
constexpr std::size_t kMostStates = 2000;

std::optional<int> number_of(const fs::path& file) {
  const std::string stem = file.stem().string();
  int number = 0;
  const auto [end, error] = std::from_chars(stem.data(), stem.data() + stem.size(), number);
  const bool whole = error == std::errc{} && end == stem.data() + stem.size();
  return whole && file.extension() == ".json" ? std::optional(number) : std::nullopt;
}

/// In rising order.
std::vector<int> numbers_in(const fs::path& folder) {
  std::vector<int> numbers;
  std::error_code error;
  for (fs::directory_iterator it(folder, error), end; !error && it != end; it.increment(error)) {
    if (const auto number = number_of(it->path())) numbers.push_back(*number);
  }
  std::ranges::sort(numbers);
  return numbers;
}

std::optional<int> number_in(const Json& json, const char* key) {
  return json.contains(key) ? std::optional(json.at(key).get<int>()) : std::nullopt;
}

}  // namespace

History::History(fs::path folder, const Sheet& first) : folder_(std::move(folder)) {
  const std::vector<int> numbers = numbers_in(folder_);
  if (numbers.empty()) {
    write({.number = 1, .sheet = first, .step = "", .before = {}, .after = {}});
    return;
  }
  auto last = read(numbers.back());
  if (!last) {
    throw InputError(ErrorCode::malformed, file_of(numbers.back()), "is no state of a desk",
                     "move it away; the one before it holds then");
  }
  now_ = *std::move(last);
}

fs::path History::file_of(int number) const { return folder_ / fmt::format("{:06}.json", number); }

std::optional<State> History::read(int number) const {
  try {
    const std::string text =
        read_text_file(file_of(number), {"a state of the desk", limits::kMostSettingsBytes});
    const Json json = Json::parse(text);
    auto sheet = sheet_from_json(json.at("sheet").dump());
    if (!sheet) return std::nullopt;
    return State{.number = number,
                 .sheet = *std::move(sheet),
                 .step = json.at("step").get<std::string>(),
                 .before = number_in(json, "before"),
                 .after = number_in(json, "after")};
  } catch (const Json::exception&) {
    return std::nullopt;
  } catch (const InputError&) {
    return std::nullopt;
  }
}

void History::write(State state) {
  Json json = {{"sheet", Json::parse(sheet_text(state.sheet))}, {"step", state.step}};
  if (state.before) json["before"] = *state.before;
  if (state.after) json["after"] = *state.after;
  const fs::path file = file_of(state.number);
  if (!write_new_file(file, json.dump(1))) {
    throw InputError(ErrorCode::not_writable, file, "was written by another desk",
                     "close one of the two");
  }
  now_ = std::move(state);
}

const State& History::change(Sheet sheet, const std::string& step) {
  const bool same_step = !step.empty() && step == now_.step;
  const int replaced = now_.number;
  write({.number = now_.number + 1,
         .sheet = std::move(sheet),
         .step = step,
         .before = same_step ? now_.before : std::optional(now_.number),
         .after = {}});
  std::error_code ignored;
  if (same_step) fs::remove(file_of(replaced), ignored);
  drop_oldest();
  return now_;
}

bool History::undo() {
  const auto earlier = now_.before ? read(*now_.before) : std::nullopt;
  if (!earlier) return false;
  write({.number = now_.number + 1,
         .sheet = earlier->sheet,
         .step = "",
         .before = earlier->before,
         .after = now_.number});
  return true;
}

bool History::redo() {
  const auto later = now_.after ? read(*now_.after) : std::nullopt;
  if (!later) return false;
  write({.number = now_.number + 1,
         .sheet = later->sheet,
         .step = "",
         .before = now_.number,
         .after = later->after});
  return true;
}

void History::drop_oldest() const {
  const std::vector<int> numbers = numbers_in(folder_);
  std::error_code ignored;
  for (std::size_t i = 0; i + kMostStates < numbers.size(); ++i) {
    fs::remove(file_of(numbers[i]), ignored);
  }
}

}  // namespace basefog::desk
