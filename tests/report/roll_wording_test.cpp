// SPDX-License-Identifier: GPL-3.0-or-later
#include "basefog/report/roll_wording.hpp"

#include <gtest/gtest.h>

namespace basefog::report {
namespace {

TEST(RollWording, a_likely_finding_may_be_and_a_sure_one_is) {
  EXPECT_EQ(development_text({.under_exposed = 0.72, .over_developed = 0.1}),
            "The whole roll may be under-exposed (72 %): its shadows are thin.");
  EXPECT_EQ(
      development_text({.over_exposed = 0.65, .under_developed = 0.97}),
      "The whole roll looks under-developed (97 %): its shadows and highlights lie closer together "
      "than scenes make them. It also may be over-exposed (65 %): its shadows are full and "
      "its highlights dense.");
}

TEST(RollWording, says_so_where_all_is_normal_or_nothing_can_be_told) {
  EXPECT_EQ(development_text({.under_exposed = 0.14, .over_developed = 0.1}),
            "Exposure and development of the roll as a whole look normal.");
  EXPECT_EQ(development_text({.over_developed = 0.4}),
            "Whether the roll is off in exposure or in development cannot be told: over-developed "
            "is likeliest, at 40 %. A bracket of one view on the roll would tell.");
}

TEST(RollWording, high_fog_is_said_beside_all_else) {
  EXPECT_EQ(development_text({.high_fog = Density::from_value(0.55)}),
            "Exposure and development of the roll as a whole look normal. Its base and fog of 0.55 "
            "is high, which may be long development, old film or light that leaked in.");
}

TEST(RollWording, what_cannot_be_told_apart_has_a_sentence_each) {
  meter::MeterBias meter;
  meter.not_identifiable = {{meter::Confounded::meter_speed_development, {}, {}},
                            {meter::Confounded::levels, "1/30", "f/2.8"}};
  EXPECT_EQ(not_identifiable_texts(meter),
            (std::vector<std::string>{
                "One roll cannot tell the meter from the film's speed and the development: the "
                "bias is that of all three together.",
                "1/30 and f/2.8 were mostly used together, so what belongs to which cannot be "
                "told."}));
}

TEST(RollWording, a_scene_s_technique_in_thirds_with_what_was_asked_for) {
  meter::SceneTechnique backlit{.scene = "backlit",
                                .stops = {Stops(1.35), Stops(0.8), Stops(1.9)},
                                .asked = Stops(0.1),
                                .frames = 5};
  EXPECT_EQ(technique_text(backlit), "backlit: +1 1/3 (+0.8 to +1.9), 5 frames");
  backlit.mode = log::ExposureMode::aperture_priority;
  backlit.asked = Stops(0.6);
  EXPECT_EQ(technique_text(backlit),
            "backlit, aperture priority: +1 1/3 (+0.8 to +1.9), 5 frames; +2/3 was asked for");
}

}  // namespace
}  // namespace basefog::report
