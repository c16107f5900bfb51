// SPDX-License-Identifier: GPL-3.0-or-later
#include "basefog/report/log_wording.hpp"

#include <fmt/args.h>
#include <fmt/format.h>

#include <array>
#include <string_view>
#include <variant>

namespace basefog::report {
namespace {

using enum log::Doubt;

/// A doubt in words, with places for its own values in order and for the remark's {value} and
/// {column}. What ends in a full stop is a sentence; all else follows the value.
struct DoubtWords {
  log::Doubt doubt;
  std::string_view words;
};

constexpr auto kWords = std::to_array<DoubtWords>({
    {hedged, "is marked as uncertain"},
    {goes_on, "goes on with \"{}\", which was not understood"},
    {off_its_mark, "is a little off its mark; read as the mark"},
    {wide_range, "spans more than a stop; read as halfway"},

    {not_a_time, "is not a shutter time"},
    {bulb_without_time, "has no time for a long exposure"},
    {read_as_fraction, "could be seconds; read as a fraction of a second"},
    {read_as_seconds, "could be a fraction of a second; read as seconds"},
    {long_seconds, "is unusually long; write 1/125 if a fraction is meant"},
    {fraction_above_one, "is a fraction above one second"},
    {fraction_as_date,
     "looks like a fraction that a spreadsheet turned into a date; read as the fraction"},
    {flash_speed, "is the flash speed, which depends on the camera"},
    {beyond_any_shutter, "is not a time that a shutter gives"},

    {not_an_aperture, "is not an aperture"},
    {open_aperture, "does not say which f-number; it depends on the lens"},
    {lost_point, "has probably lost its decimal point; read as {}"},
    {beyond_any_lens, "is not an f-number that a lens has"},

    {not_stops, "is not a number of stops"},
    {no_sign, "has no sign; read as plus"},
    {unusually_large, "is unusually large"},
    {beyond_compensation, "is more than a camera can be off"},
    {push_without_stops, "does not say by how many stops"},
    {not_a_push, "is not a development in stops"},
    {beyond_push, "is more than film can be pushed"},

    {unclear_automatic, "does not say what was automatic: shutter, aperture or both"},
    {not_a_mode, "is not an exposure mode"},
    {not_both_settings, "does not hold both a shutter time and an aperture"},
    {in_shutter_part, "as a shutter time, \"{}\""},
    {in_aperture_part, "as an aperture, \"{}\""},

    {not_a_film_speed, "is not a film speed"},
    {not_degrees, "is not a film speed in degrees"},
    {degrees_disagree, "gives degrees that are not those of its arithmetic speed, which was used"},
    {read_as_degrees, "is no marked speed; read as degrees, ISO {}"},

    {unclear_filter, "does not say whether the number is a factor, a density or stops"},
    {beyond_filters, "is more than a filter takes"},
    {not_a_focal_length, "is not a focal length"},
    {zoom_not_said, "does not say where the zoom was set"},
    {not_a_date, "is not a date"},
    {day_or_month, "could be day or month first; left as it is (write year-month-day)"},

    {first_row_only, "stands in the first row only; read for all rows"},
    {nothing_above, "repeats the line above, where nothing stands"},
    {same_as_above, "was read as the same as above: {}"},

    {decimal_commas, "This line has decimal commas outside quotes; read as {all}."},
    {too_many_cells,
     "This line has {} cells for {} columns; put values that hold the separator in quotes."},
    {not_a_row, "This line is no row of the table and was left out."},
    {settings_disagree,
     "The compensation and the difference between metered and used settings disagree; both were "
     "counted."},

    {several_values,
     "The column \"{column}\" holds {} different values; keep the log of one roll in one file."},
    {unknown_column,
     "The column \"{column}\" was not understood or stands twice; its words were kept as notes."},
    {label_again, "Frame {value} stands in the log more than once."},
    {no_heads, "The log has no line of column names; by their values they are {}."},

    {beyond_shutter, "{value} is beyond this camera's shutter."},
    {not_on_dial, "{value} is not on this camera's dial."},
    {beyond_lens, "{value} is beyond the lens{quoted}."},
});

constexpr bool in_order() {
  for (std::size_t i = 0; i < kWords.size(); ++i) {
    if (static_cast<std::size_t>(kWords[i].doubt) != i) return false;
  }
  return kWords.size() == log::kDoubts;
}
static_assert(in_order(), "every doubt has its words, in the order of the enum");

std::string_view template_of(const log::Doubted& doubted) {
  return kWords[static_cast<std::size_t>(doubted.doubt)].words;
}

std::string value_text(const log::DoubtValue& value) {
  struct {
    std::string operator()(const std::string& words) const { return words; }
    std::string operator()(int number) const { return std::to_string(number); }
    std::string operator()(ShutterTime time) const { return as_marked(time); }
    std::string operator()(FNumber stop) const { return as_marked(stop); }
    std::string operator()(FilmSpeed speed) const { return as_marked(speed); }
  } in_words;
  return std::visit(in_words, value);
}

std::string words_of(const log::Doubted& doubted, const log::LogRemark& remark) {
  fmt::dynamic_format_arg_store<fmt::format_context> values;
  std::string all;
  for (const log::DoubtValue& value : doubted.values) {
    const std::string text = value_text(value);
    values.push_back(text);
    all += (all.empty() ? "" : " ") + text;
  }
  values.push_back(fmt::arg("all", all));
  values.push_back(fmt::arg("quoted", all.empty() ? all : " \"" + all + "\""));
  values.push_back(fmt::arg("value", remark.value));
  values.push_back(fmt::arg("column", remark.column));
  return fmt::vformat(template_of(doubted), values);
}

}  // namespace

std::string remark_text(const log::LogRemark& remark) {
  std::string text;
  bool of_part = false;
  for (const log::Doubted& doubted : remark.doubts) {
    if (!text.empty()) text += of_part ? " " : "; ";
    text += words_of(doubted, remark);
    of_part = doubted.doubt == in_shutter_part || doubted.doubt == in_aperture_part;
  }
  if (template_of(remark.doubts.front()).ends_with('.')) return text;
  return "\"" + remark.value + "\" " + text + ".";
}

std::string contradiction_text(const log::SceneContradiction& contradiction) {
  const StopsEstimate& ev = contradiction.scene_ev;
  const std::string found = ev.two_sided()
                                ? fmt::format("EV {:.1f} ({:.1f} to {:.1f})", ev.value.value(),
                                              ev.low->value(), ev.high->value())
                            : ev.low ? fmt::format("at least EV {:.1f}", ev.low->value())
                                     : fmt::format("at most EV {:.1f}", ev.high->value());
  return fmt::format(
      "The log says \"{}\", which is EV {:g} to {:g} at ISO 100, but settings and film give {}.",
      contradiction.words.words, contradiction.words.lowest_ev, contradiction.words.highest_ev,
      found);
}

}  // namespace basefog::report
