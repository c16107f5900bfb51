// SPDX-License-Identifier: GPL-3.0-or-later
#include "report/warning_wording.hpp"

#include <fmt/format.h>
#include <fmt/ranges.h>

#include <variant>

#include "basefog/report/log_wording.hpp"

namespace basefog::report {
namespace {

std::string_view doubt_text(response::ResponseDoubt doubt) {
  switch (doubt) {
    case response::ResponseDoubt::none:
      break;
    case response::ResponseDoubt::too_dense:
      return "Net densities above 3.5 were found, which no camera film reaches: the scan is "
             "probably closer to linear than the response says.";
    case response::ResponseDoubt::too_thin:
      return "No picture on the roll has a highlight of more than 0.6 net density: either every "
             "frame is under by three stops or more, or the scan carries a display curve that the "
             "response leaves in.";
    case response::ResponseDoubt::film_too_clear:
      return "Clear film is as bright as the bare light, which cannot be: the shot of the light "
             "was made under another exposure.";
    case response::ResponseDoubt::tone_curve:
      return "Nothing in the files says how their numbers stand for light. The roll's densities "
             "show "
             "a display's tone curve, so they were read as sRGB.";
  }
  return text_of(Flag::response_implausible).long_text;
}

/// One kind of fact, one sentence.
struct Text {
  Flag flag;

  std::string operator()(std::monostate /*none*/) const {
    return std::string(text_of(flag).long_text);
  }
  std::string operator()(const density::ScanFailure& failure) const { return failure.text; }
  std::string operator()(const log::LogRemark& remark) const {
    return fmt::format("Line {}, {} \"{}\": {}", remark.line, remark.column, remark.value,
                       remark_text(remark));
  }
  std::string operator()(const log::SceneContradiction& contradiction) const {
    return contradiction_text(contradiction);
  }
  std::string operator()(const roll::AssumedSpeed& assumed) const {
    return assumed.from_log
               ? "Nobody stated the film's own speed, so it was taken to be ISO " +
                     as_marked(assumed.speed) +
                     ", as most of the log's rows were exposed: a deliberate index on every frame "
                     "would pass unseen."
               : "Nobody stated the film's speed, so it was taken to be ISO " +
                     as_marked(assumed.speed) +
                     ". Stops against the aim do not depend on it; lux-seconds do.";
  }
  std::string operator()(const roll::OddRolls& odd) const {
    return fmt::format("{} {} not fit the other rolls of this film in the ledger, so {} left out.",
                       fmt::join(odd.names, ", "), odd.names.size() == 1 ? "does" : "do",
                       odd.names.size() == 1 ? "it was" : "they were");
  }
  std::string operator()(response::ResponseDoubt doubt) const {
    return std::string(doubt_text(doubt));
  }
};

}  // namespace

std::string warning_text(const roll::Warning& warning) {
  return std::visit(Text{warning.flag}, warning.fact);
}

std::string next_step_text(const roll::Warning& warning) {
  const auto* failure = std::get_if<density::ScanFailure>(&warning.fact);
  return failure != nullptr ? failure->next_step : std::string(text_of(warning.flag).next_step);
}

}  // namespace basefog::report
