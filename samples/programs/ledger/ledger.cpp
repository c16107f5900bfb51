// SPDX-License-Identifier: GPL-3.0-or-later
// Two rolls kept in a ledger, and what they say together.
#include "basefog/ledger/ledger.hpp"

#include <cstdio>
#include <cstdlib>
#include <string>

using namespace basefog;

namespace {

meter::RememberedRoll remembered(const std::string& name, double bias) {
  meter::RememberedRoll result{.name = name, .camera = "the black one", .film = "pan film"};
  for (int i = 0; i < 12; ++i) {
    meter::DeviationSample sample;
    sample.frame = std::to_string(i + 1);
    sample.deviation = Stops(bias + 0.1 * (i % 3 - 1));
    sample.sigma = 0.1;
    sample.mode = log::ExposureMode::aperture_priority;
    sample.aperture = FNumber(i % 2 == 0 ? 8 : 5.6);
    result.deviations.push_back(sample);
  }
  return result;
}

}  // namespace

int main() {
  std::string folder = (std::filesystem::temp_directory_path() / "basefog-sample-XXXXXX").string();
  if (mkdtemp(folder.data()) == nullptr) return 1;
  ledger::Ledger ledger(folder + "/ledger.db", ledger::Ledger::Access::write);
  ledger.remember(remembered("7", -0.6));
  ledger.remember(remembered("8", -0.5));
  ledger.remember(remembered("8", -0.4));  // again, so that it replaces itself
  const std::vector<meter::RememberedRoll> rolls = ledger.rolls();
  const meter::BiasHistory history = meter::fit_bias_history(rolls);
  std::printf("%zu rolls, camera %+.2f\n", rolls.size(), history.meter.bias->value.value());
  std::filesystem::remove_all(folder);
  return rolls.size() == 2 ? 0 : 1;
}
