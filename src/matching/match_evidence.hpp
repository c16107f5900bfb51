// SPDX-License-Identifier: GPL-3.0-or-later
// What speaks for a frame and a row being a pair, as log likelihoods.
#pragma once

#include <Eigen/Dense>
#include <map>
#include <optional>
#include <span>
#include <vector>

#include "basefog/log/scene_light.hpp"
#include "basefog/matching/matching.hpp"

namespace basefog::matching {

/// Everything but order and numbers. What the roll has in common (its offset from what was asked
/// for, and each speed's) begins as the medians say and is learned from probable pairs.
class MatchEvidence {
 public:
  MatchEvidence(std::span<const MatchFrame> frames, const std::vector<log::LogRow>& rows,
                const film::FilmProfile& film);

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
    double spread = 0;  ///< of exposures about what was asked for
  };

  static Row describe(const log::LogRow& row, const film::FilmProfile& film);
  double asked(const Row& row) const;
  double exposure_evidence(double exposure, double sigma, const Row& row) const;
  double light_evidence(double exposure, const Row& row) const;
  double one_view_by_rows(std::size_t row_before, std::size_t row) const;
  void find_same_views();
  void hold_exposures_against_rows();

  std::span<const MatchFrame> frames_;
  const std::vector<log::LogRow>& log_rows_;
  std::vector<Row> rows_;
  Eigen::MatrixXd likeness_;  ///< frames x frames; NaN where unknown
  Eigen::MatrixXd look_;      ///< how much likelier of one view than of two
  Eigen::MatrixXd anew_;      ///< frames x rows: exposure_evidence as last learned
  /// Odds of one view, how many rows before (less one) and row.
  Eigen::MatrixXd one_view_;
  double offset_ = 0;
  double any_spread_ = 1;              ///< of the roll's exposures about the offset
  std::map<int, double> speed_error_;  ///< stops by marked time
};

}  // namespace basefog::matching
