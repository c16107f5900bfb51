// SPDX-License-Identifier: GPL-3.0-or-later
#include "matching/match_evidence.hpp"

#include <algorithm>
#include <array>
#include <cmath>
#include <limits>

#include "core/plain_text.hpp"
#include "numeric/alignment.hpp"
#include "numeric/quantile.hpp"

namespace basefog::matching {
namespace {

// Judgement, where no source is named; tests/validation/matching_study.cpp shows what they do.
constexpr double kBlankWithRow = 0.02;      ///< a blank where the log has a picture
constexpr double kPictureOfNothing = 0.05;  ///< a picture where the row says there is none
/// How far a frame's exposure lies from what its row asked for, stops: where the camera sets it,
/// and where a person does, to the nearest marks and as they judge.
constexpr double kSpreadAuto = 0.25;
constexpr double kSpreadManual = 0.4;
/// Two frames of one view differ by the difference of their settings to within this.
constexpr double kSpreadSameView = 0.2;
/// A frame follows one of the same view, before anything is known of either.
constexpr double kSameView = 0.35;
/// Likeness of neighbours with the same view, and with different ones, as measured:
/// In 240 views of 20 panoramas reframed by a twentieth the middle likeness is 0.96 (nine tenths
/// above 0.87), of views elsewhere in the same place 0.49, of other places 0.31.
constexpr double kLikeSame = 0.93;
constexpr double kLikeSameSpread = 0.06;
constexpr double kLikeOther = 0.4;
constexpr double kLikeOtherSpread = 0.3;
/// The scales above are never quite right, and a long series repeats their error; with so much of
/// the evidence of likeness, probabilities come true as often as they say (by trial on the rolls of
/// matching_study).
constexpr double kTrustInViews = 0.7;
/// The most that a roll's exposures may spread about their middle, stops: more is wild frames,
/// which the heavy tails are for.
constexpr double kMostSpread = 1.5;
/// Error of the roll's offset by one frame, stops: as the middles of exposures and rows say it, and
/// as probable pairs do. It falls with the root of their number.
constexpr double kOffsetByMedians = 1;
constexpr double kOffsetByPairs = 0.4;
constexpr double kFixed = 60;  ///< what the user says outweighs everything

/// Student t with 4 degrees of freedom, up to a constant; tails for wild frames.
double t4(double x, double scale) {
  const double spread = 1 + x * x / (4 * scale * scale);
  return 1 / (spread * spread * std::sqrt(spread) * scale);
}
double log_t4(double x, double scale) { return std::log(t4(x, scale)); }

double median_or_zero(std::vector<double> values) {
  return values.empty() ? 0 : numeric::median(std::move(values));
}

/// Evidence of two dates, ISO 8601, each with or without a time of day.
double date_evidence(const std::string& frame, const std::string& row) {
  constexpr std::size_t kDay = 10;     // 2026-03-01
  constexpr std::size_t kMinute = 16;  // 2026-03-01T14:05
  // Natural logs of odds: a camera's calendar is wrong once in fifty rolls; of a few rows written
  // within an hour, one in twenty has the same minute by chance.
  constexpr double kOtherDay = -4;
  constexpr double kSameMinute = 3;
  if (frame.size() < kDay || row.size() < kDay) return 0;
  if (frame.compare(0, kDay, row, 0, kDay) != 0) return kOtherDay;
  if (frame.size() < kMinute || row.size() < kMinute) return 0;
  return frame.compare(kDay + 1, 5, row, kDay + 1, 5) == 0 ? kSameMinute : 0;
}

/// Evidence of settings that the scan itself carries.
double settings_evidence(const log::ShotSettings& frame, const log::ShotSettings& row) {
  constexpr double kSame = 1.5;     // about one in five rows has the same time, or aperture
  constexpr double kOther = -3;     // one in twenty was written down wrong
  constexpr double kOneMark = 0.2;  // stops; marks that differ are a third apart
  double evidence = 0;
  if (frame.shutter && row.shutter) {
    const double apart = exact(*frame.shutter).time_value() - exact(*row.shutter).time_value();
    evidence += std::abs(apart) < kOneMark ? kSame : kOther;
  }
  if (frame.aperture && row.aperture) {
    const double apart =
        exact(*frame.aperture).aperture_value() - exact(*row.aperture).aperture_value();
    evidence += std::abs(apart) < kOneMark ? kSame : kOther;
  }
  return evidence;
}

}  // namespace

MatchEvidence::MatchEvidence(std::span<const MatchFrame> frames,
                             const std::vector<log::LogRow>& rows, const film::FilmProfile& film)
    : frames_(frames), log_rows_(&rows) {
  find_same_views();
  for (const log::LogRow& row : rows) rows_.push_back(describe(row, film));
  begin_with_rows();
}

MatchEvidence MatchEvidence::with_moved(const std::vector<log::LogRow>& moved,
                                        std::size_t shift) const {
  MatchEvidence other = *this;
  other.log_rows_ = &moved;
  std::rotate(other.rows_.begin(), other.rows_.begin() + static_cast<std::ptrdiff_t>(shift),
              other.rows_.end());
  other.begin_with_rows();
  return other;
}

void MatchEvidence::begin_with_rows() {
  speed_error_.clear();
  std::vector<double> exposures;
  std::vector<double> expected;
  for (const MatchFrame& frame : frames_) {
    if (frame.exposure) exposures.push_back(frame.exposure->value());
  }
  for (const Row& row : rows_) {
    if (row.expected) expected.push_back(*row.expected);
  }
  const double centre = median_or_zero(exposures);
  const double count = std::max(1.0, static_cast<double>(exposures.size()));
  offset_ = centre - median_or_zero(expected);
  offset_sigma_ = kOffsetByMedians / std::sqrt(count);
  double squares = 0;
  for (double exposure : exposures) squares += (exposure - centre) * (exposure - centre);
  any_spread_ = std::clamp(std::sqrt(squares / (count + 1)), kSpreadManual, kMostSpread);
  compare_rows();
  hold_light_against_words();
  hold_exposures_against_rows();
}

void MatchEvidence::hold_exposures_against_rows() {
  for (std::size_t i = 0; i < frames_.size(); ++i) {
    for (std::size_t j = 0; frames_[i].exposure && j < rows_.size(); ++j) {
      anew_(static_cast<Eigen::Index>(i), static_cast<Eigen::Index>(j)) =
          exposure_evidence(frames_[i].exposure->value(), frames_[i].exposure_sigma, rows_[j]);
    }
  }
}

MatchEvidence::Row MatchEvidence::describe(const log::LogRow& row, const film::FilmProfile& film) {
  Row described;
  const double loss =
      row.used.shutter
          ? film::reciprocity_loss(film.reciprocity, exact(*row.used.shutter)).loss.value()
          : 0;
  if (const auto expected = log::expected_exposure(row, film.iso_speed)) {
    described.expected = expected->value() - loss;
  }
  const Estimate<ExposureFromAim> aim{};
  if (const auto scene = log::scene_ev_100(row, film.iso_speed, aim, Stops(loss))) {
    described.set_ev = scene->value.value();
  }
  if (row.used.shutter) {
    described.speed = static_cast<int>(std::lround(3 * exact(*row.used.shutter).time_value()));
  }
  described.light = log::scene_light_of(row);
  const bool automatic = row.mode && *row.mode != log::ExposureMode::manual;
  described.spread = automatic ? kSpreadAuto : kSpreadManual;
  described.scene = plain_form(row.scene);
  const std::string words = described.scene + " " + plain_form(row.note);
  described.again = std::ranges::any_of(
      std::to_array<std::string_view>({"again", "one more", "another", "same", "once more"}),
      [&](std::string_view word) { return words.find(word) != std::string::npos; });
  return described;
}

void MatchEvidence::find_same_views() {
  const auto n = static_cast<Eigen::Index>(frames_.size());
  likeness_ = Eigen::MatrixXd::Constant(n, n, std::numeric_limits<double>::quiet_NaN());
  look_ = Eigen::MatrixXd::Ones(n, n);
  for (Eigen::Index i = 0; i < n; ++i) {
    for (Eigen::Index k = 0; k < i; ++k) {
      const auto alike = likeness(frames_[static_cast<std::size_t>(i)].picture,
                                  frames_[static_cast<std::size_t>(k)].picture);
      if (!alike) continue;
      likeness_(i, k) = likeness_(k, i) = *alike;
      look_(i, k) = look_(k, i) =
          t4(*alike - kLikeSame, kLikeSameSpread) / t4(*alike - kLikeOther, kLikeOtherSpread);
    }
  }
}

void MatchEvidence::compare_rows() {
  const auto m = static_cast<Eigen::Index>(rows_.size());
  one_view_ = Eigen::MatrixXd::Ones(numeric::AlignmentProblem::kReach, m);
  for (Eigen::Index j = 0; j < m; ++j) {
    for (Eigen::Index k = std::max<Eigen::Index>(0, j - numeric::AlignmentProblem::kReach); k < j;
         ++k) {
      one_view_(j - k - 1, j) =
          one_view_by_rows(static_cast<std::size_t>(k), static_cast<std::size_t>(j));
    }
  }
}

/// How much likelier two rows are of one view than of two, from their words and from how the light
/// that was metered changed.
double MatchEvidence::one_view_by_rows(std::size_t row_before, std::size_t row) const {
  double odds = 1;
  const Row& a = rows_[row_before];
  const Row& b = rows_[row];
  // How often words repeat within a view, and from one view to the next.
  constexpr double kRepeats = 0.8;
  constexpr double kRepeatsElsewhere = 0.3;
  if (!a.scene.empty() && !b.scene.empty()) {
    odds *= a.scene == b.scene ? kRepeats / kRepeatsElsewhere
                               : (1 - kRepeats) / (1 - kRepeatsElsewhere);
  }
  constexpr double kSaidAgain = 4;  // odds; "same" may be of the lens
  if (b.again) odds *= kSaidAgain;
  if (a.set_ev && b.set_ev) {
    const double change =
        (*b.set_ev - b.expected.value_or(0)) - (*a.set_ev - a.expected.value_or(0));
    constexpr double kWithin = 0.5;  // one view metered twice, its time rounded to a mark
    constexpr double kBetween = 2;   // two views
    odds *= t4(change, kWithin) / t4(change, kBetween);
  }
  return odds;
}

double MatchEvidence::asked(const Row& row) const {
  const auto error = row.speed ? speed_error_.find(*row.speed) : speed_error_.end();
  return offset_ + row.expected.value_or(0) + (error == speed_error_.end() ? 0 : error->second);
}

double MatchEvidence::exposure_evidence(double exposure, double sigma, const Row& row) const {
  if (!row.expected) return log_t4(exposure - offset_, any_spread_);
  // Most of sigma is shared by the roll and goes into its offset.
  constexpr double kOwnShare = 0.5;
  return log_t4(exposure - asked(row), std::hypot(row.spread, kOwnShare * sigma, offset_sigma_));
}

/// How well the scene's brightness agrees with the words and with what can be photographed,
/// against what the row would make of the roll's other frames: a row that contradicts itself with
/// every frame speaks for none.
void MatchEvidence::hold_light_against_words() {
  light_ = anew_ = Eigen::MatrixXd::Zero(static_cast<Eigen::Index>(frames_.size()),
                                         static_cast<Eigen::Index>(rows_.size()));
  for (std::size_t j = 0; j < rows_.size(); ++j) {
    const Row& row = rows_[j];
    if (!row.set_ev) continue;
    const double darkest = row.light ? row.light->lowest_ev : log::kDarkestSceneEv;
    const double brightest = row.light ? row.light->highest_ev : log::kBrightestSceneEv;
    auto column = light_.col(static_cast<Eigen::Index>(j));
    double sum = 0;
    int count = 0;
    for (std::size_t i = 0; i < frames_.size(); ++i) {
      if (!frames_[i].exposure) continue;
      const double ev = *row.set_ev + frames_[i].exposure->value();
      const double beyond =
          std::max({darkest - ev, ev - brightest, 0.0}) / (log::kSubjectSpread / 2);
      constexpr double kWrongWords = 0.05;  // rows whose words do not fit their light at all
      const double agrees = kWrongWords + (1 - kWrongWords) * std::exp(-beyond * beyond / 2);
      column(static_cast<Eigen::Index>(i)) = std::log(agrees);
      sum += agrees;
      ++count;
    }
    for (std::size_t i = 0; i < frames_.size(); ++i) {
      if (frames_[i].exposure) column(static_cast<Eigen::Index>(i)) -= std::log(sum / count);
    }
  }
}

double MatchEvidence::pair(std::size_t frame, std::size_t row) const {
  const MatchFrame& f = frames_[frame];
  if (f.fixed) return f.fixed_row == row ? kFixed : -kFixed;
  const log::LogRow& logged = (*log_rows_)[row];
  if (f.blank) return std::log(logged.no_picture ? 1 - kPictureOfNothing : kBlankWithRow);
  const Said said = of_pair(frame, row);
  return std::log(logged.no_picture ? kPictureOfNothing : 1 - kBlankWithRow) + said.exposure +
         said.light + said.date + said.settings;
}

MatchEvidence::Said MatchEvidence::of_pair(std::size_t frame, std::size_t row) const {
  const MatchFrame& f = frames_[frame];
  const log::LogRow& logged = (*log_rows_)[row];
  Said said{.date = date_evidence(f.date, logged.date),
            .settings = settings_evidence(f.settings, logged.used)};
  if (f.exposure) {
    said.exposure = anew_(static_cast<Eigen::Index>(frame), static_cast<Eigen::Index>(row));
    said.light = light_(static_cast<Eigen::Index>(frame), static_cast<Eigen::Index>(row));
  }
  return said;
}

double MatchEvidence::alone(std::size_t frame) const {
  const MatchFrame& f = frames_[frame];
  if (f.fixed) return f.fixed_row ? -kFixed : kFixed;
  return f.exposure ? log_t4(f.exposure->value() - offset_, any_spread_) : 0;
}

double MatchEvidence::follow(std::size_t frame_before, std::size_t frame, std::size_t row_before,
                             std::size_t row, int distance) const {
  const MatchFrame& a = frames_[frame_before];
  const MatchFrame& b = frames_[frame];
  if (a.blank || b.blank || a.fixed || b.fixed) return 0;
  // Exposures of one view: either the light stayed and the settings give the difference, or each
  // was metered anew.
  double exposures = 1;
  const Row& before = rows_[row_before];
  const Row& here = rows_[row];
  if (a.exposure && b.exposure && before.set_ev && here.set_ev) {
    const double change = (*b.exposure - *a.exposure).value();
    const double by_settings = t4(change + *here.set_ev - *before.set_ev, kSpreadSameView);
    const double anew = anew_(static_cast<Eigen::Index>(frame), static_cast<Eigen::Index>(row));
    constexpr double kLightStayed = 0.5;  // as often as it was metered anew
    exposures = 1 - kLightStayed + kLightStayed * by_settings / std::exp(anew);
  }
  const double look =
      look_(static_cast<Eigen::Index>(frame_before), static_cast<Eigen::Index>(frame));
  double share = 1;
  for (int k = 0; k < distance; ++k) share *= kSameView;
  const double prior = share / (1 - share);
  const double odds = prior * one_view_(static_cast<Eigen::Index>(row - row_before) - 1,
                                        static_cast<Eigen::Index>(row));
  return kTrustInViews *
         std::log((odds * look * exposures + 1) * (prior + 1) / ((odds + 1) * (prior * look + 1)));
}

bool MatchEvidence::same_picture(std::size_t a, std::size_t b) const {
  // A view photographed again moves, a scan made again hardly; its exposure is the same to a
  // scanner's repeatability (judgement).
  constexpr double kSamePicture = 0.995;
  constexpr Stops kSameExposure{0.06};
  const double alike = likeness_(static_cast<Eigen::Index>(a), static_cast<Eigen::Index>(b));
  if (!(alike > kSamePicture) || !frames_[a].exposure || !frames_[b].exposure) return false;
  return abs(*frames_[a].exposure - *frames_[b].exposure) < kSameExposure;
}

void MatchEvidence::learn(const Eigen::MatrixXd& posterior) {
  constexpr double kLeast = 0.05;  // a pair less probable teaches nothing but its error
  std::vector<std::pair<double, double>> differences;
  std::map<int, std::vector<std::pair<double, double>>> by_speed;
  for (std::size_t i = 0; i < frames_.size(); ++i) {
    for (std::size_t j = 0; frames_[i].exposure && j < rows_.size(); ++j) {
      const double p = posterior(static_cast<Eigen::Index>(i), static_cast<Eigen::Index>(j));
      if (!rows_[j].expected || p < kLeast) continue;
      const double difference = frames_[i].exposure->value() - *rows_[j].expected;
      differences.emplace_back(difference, p);
      if (rows_[j].speed) by_speed[*rows_[j].speed].emplace_back(difference, p);
    }
  }
  if (differences.empty()) return;
  offset_ = numeric::weighted_median(differences);
  double pairs = 0;
  for (const auto& [difference, p] : differences) pairs += p;
  offset_sigma_ = kOffsetByPairs / std::sqrt(std::max(1.0, pairs));
  speed_error_.clear();
  for (const auto& [speed, values] : by_speed) {
    constexpr double kShrink = 2;  // as if two frames more had shown no error
    double weight = 0;
    for (const auto& [difference, p] : values) weight += p;
    speed_error_[speed] =
        (numeric::weighted_median(values) - offset_) * weight / (weight + kShrink);
  }
  hold_exposures_against_rows();
}

}  // namespace basefog::matching
