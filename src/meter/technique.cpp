// SPDX-License-Identifier: GPL-3.0-or-later
#include "basefog/meter/technique.hpp"

#include <algorithm>
#include <cmath>
#include <map>
#include <utility>

#include "core/plain_text.hpp"
#include "numeric/mixed_model.hpp"

namespace basefog::meter {
namespace {

/// Fewest frames of a scene in one mode for a number of its own (judgement).
constexpr int kLeastFramesOfAMode = 2;

struct Word {
  std::string plain;    ///< for comparing
  std::string written;  ///< for showing
};

/// The scene's words, each once; commas, semicolons and bars part them.
std::vector<Word> words_of(const std::string& scene) {
  std::vector<Word> words;
  std::size_t start = 0;
  while (start <= scene.size()) {
    const std::size_t end = std::min(scene.find_first_of(",;|", start), scene.size());
    const std::string written(trimmed(std::string_view(scene).substr(start, end - start)));
    const std::string plain = plain_form(written);
    const bool known =
        std::ranges::any_of(words, [&](const Word& word) { return word.plain == plain; });
    if (!plain.empty() && !known) words.push_back({plain, written});
    start = end + 1;
  }
  return words;
}

/// One kind of scene: its column, and those of its modes where there are several.
struct SceneColumns {
  std::string written;
  int column = 0;
  int frames = 0;
  double asked = 0;  ///< summed
  struct Mode {
    int column = -1;  ///< none where the scene was met in one mode only
    int frames = 0;
    double asked = 0;
  };
  std::map<log::ExposureMode, Mode> modes;
};

class TechniqueFit {
 public:
  TechniqueFit(std::span<const TechniqueSample> samples, const TechniquePriors& priors)
      : samples_(samples), priors_(priors) {}

  std::vector<SceneTechnique> run() {
    count_scenes();
    if (scenes_.empty()) return {};
    add_columns();
    add_rows();
    const numeric::MixedFit fitted = numeric::fit(model_);
    std::vector<SceneTechnique> all;
    for (const auto& [plain, scene] : scenes_) add_scene(scene, fitted, all);
    std::ranges::stable_sort(all, [](const SceneTechnique& a, const SceneTechnique& b) {
      return a.stops.value > b.stops.value;
    });
    return all;
  }

 private:
  void count_scenes() {
    for (const TechniqueSample& sample : samples_) {
      for (const Word& word : words_of(sample.scene)) {
        SceneColumns& scene = scenes_[word.plain];
        if (scene.frames == 0) scene.written = word.written;
        ++scene.frames;
        scene.asked += sample.asked.value();
        if (!sample.mode) continue;
        ++scene.modes[*sample.mode].frames;
        scene.modes[*sample.mode].asked += sample.asked.value();
      }
    }
  }

  int add_column(double sigma) {
    model_.global.push_back({.sigma = sigma});
    return static_cast<int>(model_.global.size()) - 1;
  }

  void add_columns() {
    all_column_ = add_column(priors_.all);
    for (auto& [plain, scene] : scenes_) {
      scene.column = add_column(priors_.scene);
      std::erase_if(scene.modes,
                    [](const auto& mode) { return mode.second.frames < kLeastFramesOfAMode; });
      if (scene.modes.size() < 2) scene.modes.clear();
      for (auto& [mode, one] : scene.modes) one.column = add_column(priors_.mode);
    }
  }

  void add_rows() {
    model_.local.assign(kCountOf<reading::ErrorCause>, {.sigma = 1.0});
    model_.extra = {priors_.scatter};
    std::map<std::string, int> block_of;
    for (const TechniqueSample& sample : samples_) {
      numeric::MixedModel::Row row;
      row.block =
          block_of.try_emplace(sample.roll, static_cast<int>(block_of.size())).first->second;
      row.y = (sample.technique + sample.asked).value();
      row.known_variance = sample.sigma * sample.sigma;
      row.local = Eigen::Map<const Eigen::VectorXd>(
          sample.shared.values.data(), static_cast<Eigen::Index>(sample.shared.values.size()));
      row.global.emplace_back(all_column_, 1.0);
      for (const Word& word : words_of(sample.scene)) {
        const SceneColumns& scene = scenes_.at(word.plain);
        row.global.emplace_back(scene.column, 1.0);
        if (!sample.mode) continue;
        const auto mode = scene.modes.find(*sample.mode);
        if (mode != scene.modes.end()) row.global.emplace_back(mode->second.column, 1.0);
      }
      model_.rows.push_back(std::move(row));
    }
    model_.blocks = static_cast<int>(block_of.size());
  }

  StopsEstimate combined(const numeric::MixedFit& fitted, const Eigen::VectorXd& weights) const {
    return normal_estimate(Stops(weights.dot(fitted.global)),
                           Stops(std::sqrt(weights.dot(fitted.covariance * weights))));
  }

  void add_scene(const SceneColumns& scene, const numeric::MixedFit& fitted,
                 std::vector<SceneTechnique>& all) const {
    Eigen::VectorXd weights = Eigen::VectorXd::Zero(fitted.global.size());
    weights(all_column_) = 1;
    weights(scene.column) = 1;
    const Eigen::VectorXd of_scene = weights;
    for (const auto& [mode, one] : scene.modes) {
      weights(one.column) = static_cast<double>(one.frames) / scene.frames;
    }
    add_technique(scene, std::nullopt, combined(fitted, weights), scene.frames, scene.asked, all);
    all.back().agreeing = agreeing_with(all.back());
    for (const auto& [mode, one] : scene.modes) {
      Eigen::VectorXd of_mode = of_scene;
      of_mode(one.column) = 1;
      add_technique(scene, mode, combined(fitted, of_mode), one.frames, one.asked, all);
    }
  }

  int agreeing_with(const SceneTechnique& technique) const {
    constexpr double kSixth = 1 / 6.0;  // half of the finest step that can be dialled
    const std::string plain = plain_form(technique.scene);
    return static_cast<int>(std::ranges::count_if(samples_, [&](const TechniqueSample& sample) {
      const std::vector<Word> words = words_of(sample.scene);
      const double own = (sample.technique + sample.asked).value();
      const bool same_way = technique.stops.value > Stops(0) ? own > kSixth : own < -kSixth;
      return same_way && std::ranges::find(words, plain, &Word::plain) != words.end();
    }));
  }

  static void add_technique(const SceneColumns& scene, std::optional<log::ExposureMode> mode,
                            const StopsEstimate& stops, int frames, double asked,
                            std::vector<SceneTechnique>& all) {
    all.push_back({.scene = scene.written,
                   .mode = mode,
                   .stops = stops,
                   .asked = Stops(asked / frames),
                   .frames = frames});
  }

  std::span<const TechniqueSample> samples_;
  TechniquePriors priors_;
  numeric::MixedModel model_;
  int all_column_ = 0;
  std::map<std::string, SceneColumns> scenes_;
};

}  // namespace

std::vector<std::string> scene_words(const std::string& scene) {
  std::vector<std::string> plain;
  for (const Word& word : words_of(scene)) plain.push_back(word.plain);
  return plain;
}

std::vector<SceneTechnique> fit_technique(std::span<const TechniqueSample> samples,
                                          const TechniquePriors& priors) {
  return TechniqueFit(samples, priors).run();
}

}  // namespace basefog::meter
