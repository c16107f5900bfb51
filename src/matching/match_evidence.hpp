// SPDX-License-Identifier: GPL-3.0-or-later
// How likely a frame and a row are a pair, as log likelihoods.
#pragma once

#include <Eigen/Dense>
#include <map>
#include <optional>
#include <span>
#include <vector>

#include "basefog/log/scene_light.hpp"
#include "basefog/matching/matching.hpp"

namespace basefog::matching {

/// Everything but order and numbers. Of frame i and row j, exposures in stops against the aim:
///
///   pair    ln(0.98) for a picture and a row with one, ln(0.02) for a blank frame and a row with a
///           picture, ln(0.05) and ln(0.95) where the row says that there is none; of a picture,
///           more:
///           + t(exposure_i - offset - expected_j - error of its speed;
///               spread_j, half of sigma_i and offset's own error together)
///           + ln A(exposure_i) - ln mean of A over the roll's frames
///           + dates: -4 for another day, 3 for the same minute
///           + settings in the scan, time and aperture each: 1.5 alike, -3 not
///   alone   t(exposure_i - offset; spread of the roll's exposures)
///   follow  0.7 (ln((o L E + 1) / (o + 1)) - ln((p L + 1) / (p + 1)))
///
/// t is the log density of Student's t with 4 degrees of freedom. A = 0.05 + 0.95 exp(-b^2 / 2), b
/// the distance of the scene's EV from the range that the row's words allow, in halves of
/// kSubjectSpread. follow weighs whether a pair and the pair before it show one view: p = prior
/// odds, from 0.35^distance; o = p times the odds of the two rows' words and metered light; L =
/// likelihood ratio of the pictures' likeness; E = 0.5 + 0.5 exp(t by the settings' difference - t
/// as metered anew). The second logarithm takes off what the pictures say without any row.
///
/// offset and each speed's error begin as the medians say and are learned from probable pairs:
/// offset the weighted median of exposure - expected, a speed's the same over its pairs, less the
/// offset, times w / (w + 2), w the weight of its pairs.
///
/// All constants are judgement where match_evidence.cpp names no source; matching_study
/// (tests/validation) shows what they do.
class MatchEvidence {
 public:
  MatchEvidence(std::span<const MatchFrame> frames, const std::vector<log::LogRow>& rows,
                const film::FilmProfile& film);

  /// The same frames with the rows moved on by `shift`, what leaves at the end coming in at the
  /// beginning, nothing learned yet. moved: those rows; must outlive it.
  MatchEvidence with_moved(const std::vector<log::LogRow>& moved, std::size_t shift) const;

  /// What speaks for a picture and a row, each a log likelihood.
  struct Said {
    double exposure = 0;
    double light = 0;
    double date = 0;
    double settings = 0;
  };
  Said of_pair(std::size_t frame, std::size_t row) const;

  /// A frame with a row.
  double pair(std::size_t frame, std::size_t row) const;
  /// What a pair gains by the pair before it, `distance` frames back on the film: neighbours that
  /// show one view belong to rows that describe one view, and their exposures differ as the
  /// settings do.
  double follow(std::size_t frame_before, std::size_t frame, std::size_t row_before,
                std::size_t row, int distance) const;
  /// A picture without a row, by its exposure.
  double alone(std::size_t frame) const;

  /// True where the frame may be a second scan of its neighbour.
  bool same_picture(std::size_t a, std::size_t b) const;

  /// posterior: probabilities of pairs, frames x rows.
  void learn(const Eigen::MatrixXd& posterior);

 private:
  struct Row {
    std::optional<double> expected;  ///< exposure asked for, stops against the aim
    std::optional<double> set_ev;    ///< EV at ISO 100 that the settings are right for
    std::optional<int> speed;        ///< the marked time in third stops
    std::optional<log::SceneLight> light;
    double spread = 0;   ///< of exposures about what was asked for
    std::string scene;   ///< in plain form
    bool again = false;  ///< its words say that the view was taken once more
  };

  static Row describe(const log::LogRow& row, const film::FilmProfile& film);
  double asked(const Row& row) const;
  double exposure_evidence(double exposure, double sigma, const Row& row) const;
  double one_view_by_rows(std::size_t row_before, std::size_t row) const;
  void begin_with_rows();
  void find_same_views();
  void compare_rows();
  void hold_exposures_against_rows();
  void hold_light_against_words();

  std::span<const MatchFrame> frames_;
  const std::vector<log::LogRow>* log_rows_ = nullptr;
  std::vector<Row> rows_;
  Eigen::MatrixXd likeness_;  ///< frames x frames; NaN where unknown
  Eigen::MatrixXd look_;      ///< how much likelier of one view than of two
  Eigen::MatrixXd anew_;      ///< frames x rows: exposure_evidence as last learned
  Eigen::MatrixXd light_;     ///< frames x rows: what the scene's light says
  /// Odds of one view, how many rows before (less one) and row.
  Eigen::MatrixXd one_view_;
  double offset_ = 0;
  double offset_sigma_ = 0;
  double any_spread_ = 1;              ///< of the roll's exposures about the offset
  std::map<int, double> speed_error_;  ///< stops by marked time
};

}  // namespace basefog::matching
