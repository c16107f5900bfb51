// SPDX-License-Identifier: GPL-3.0-or-later
#pragma once

#include <array>
#include <numbers>

#include "basefog/core/units.hpp"

/// What is known of negative film, each fact once. Densities are base-10; "stops" counts from the
/// film's speed point where nothing else is said; a sigma is one standard deviation. A number
/// without a source says "common practice" or "judgement". Where one question is asked in two
/// places with two limits, both stand here side by side, with the reason.
namespace basefog::film_facts {

/// Densities from one to another, both included.
struct DensityRange {
  double least = 0;  ///< base-10
  double most = 0;   ///< base-10, not below `least`
  /// Whether a density lies between them; both ends count.
  constexpr bool holds(double density) const { return density >= least && density <= most; }
};

/// A number that differs from film to film, taken as normal.
struct Spread {
  double middle = 0;  ///< mean
  double sigma = 0;   ///< standard deviation
};

// What the standards define.

/// Density above base + fog that defines the speed point: black-and-white [ISO6] and colour
/// negative [ISO5800].
inline constexpr NetDensity kIso6SpeedDensity{0.10};
inline constexpr NetDensity kIso5800SpeedDensity{0.15};  ///< colour negative
/// Exposure at the speed point of a film of speed 1, lux·s: S = 0.8 / Hm in black-and-white [ISO6],
/// sqrt(2) / Hm in colour negative [ISO5800].
inline constexpr double kIso6SpeedExposure = 0.8;
inline constexpr double kIso5800SpeedExposure = std::numbers::sqrt2;  ///< colour negative
/// Length of ISO 6's triangle in log10 H [ISO6]; the rise of density over it that makes a
/// black-and-white speed an ISO speed, and how far development may miss it [H740, p. 10].
inline constexpr double kIsoTriangleLogH = 1.30;
inline constexpr double kIso6Rise = 0.80;           ///< of density over the triangle
inline constexpr double kIso6RiseTolerance = 0.05;  ///< either way

// Clear film (base + fog), as density above bare light.

/// Gray film, 35 mm; roll film has 0.20 [KodakF4017].
inline constexpr double kGrayBase = 0.30;
/// Colour negative film with its orange mask, red, green, blue: mean of three films' minimum
/// densities [KodakE4050, KodakE4051, KodakE4046].
inline constexpr std::array<double, 3> kMaskedBase = {0.21, 0.64, 0.86};
/// What clear film may have before it is called implausible (judgement). Gray: 0.02 is less than
/// two surfaces reflect away (0.03, common practice), 0.60 is old and fogged. Masked: published
/// films with as much again for age, another scanner's filters and flare.
inline constexpr DensityRange kGrayBaseRange{0.02, 0.60};
/// The same of film with the mask: red, green, blue.
inline constexpr std::array<DensityRange, 3> kMaskedBaseRange = {
    {{0.05, 0.50}, {0.35, 1.00}, {0.45, 1.35}}};
/// Less than this cannot be film, even against a shot of the light that was made apart (judgement).
inline constexpr double kClearestFilm = 0.01;
/// Where film is looked for, a step between two bright tones is tried as bare light and clear film
/// when it is within this, mean over the channels: nearer tones melt into one; 0.95 is the mean of
/// what masked film may have, and a little more. Without a mask the step must be less than the last
/// number: tighter than kGrayBaseRange, since an even picture is in question too (judgement).
inline constexpr DensityRange kBaseStep{0.03, 1.0};
inline constexpr double kMostGrayBaseStep = 0.55;  ///< density, without a mask
/// Gray film with more base + fog than this was developed long or hot, or is old: half as much
/// again as usual (judgement).
inline constexpr double kHighFog = 0.45;
/// The orange mask shows in blue less red: 0.64 to 0.77 on published films [KodakE4050, KodakE4051,
/// KodakE4046], next to nothing on gray film. A step of tones has a mask from the first number on:
/// flare, or a response that leaves a display curve in, makes differences smaller, and a film not
/// found is lost. A film is called colour from the second on, half of what films have: a stained
/// gray film must stay gray (both judgement).
inline constexpr double kLeastMaskOfStep = 0.25;
inline constexpr double kLeastMaskOfFilm = 0.35;  ///< blue less red, of a colour film

// Net densities of pictures.

/// No camera film gets this dense (judgement); a response that takes display values for light makes
/// densities 2.2 times as large.
inline constexpr NetDensity kDensestFilm{3.5};
/// Normal pictures reach net 1.0 and more in their highlights; read through a response that is off
/// by a display gamma of 2.2 that becomes less than this (judgement).
inline constexpr NetDensity kThinnestHighlight{0.6};

// Curves of films of which no sheet is at hand.

/// Toe width: log H over which the gradient grows e-fold at its foot. Published test curves have
/// 0.25 to 0.40 [PhotrioSoftplus], a tabular-grain sheet film 0.12 to 0.20 (fitted to [StepWedge]),
/// a 35 mm film about 0.19 [ZoneLadder]. Dye images have a longer one (common practice).
inline constexpr double kSilverToeWidth = 0.20;
inline constexpr double kDyeToeWidth = 0.30;  ///< log H, dye images
/// The shoulder: stops at which the gradient has fallen to half, and the log H over which it falls
/// e-fold beyond. Most sheets end before it, at 7 to 10.9 stops in black-and-white [StepWedge]; of
/// 35 colour films those that show one have it at 11.2, 1.0 apart. That of dye images in
/// black-and-white comes earlier and is slower (common practice; its place is judgement).
inline constexpr Stops kSilverShoulder{11.2};
inline constexpr double kSilverShoulderWidth = 0.40;  ///< log H
inline constexpr Stops kDyeShoulder{8.5};             ///< stops, dye images
inline constexpr double kDyeShoulderWidth = 0.60;     ///< log H, dye images
/// The same beyond the end of published colour negative curves, in stops, and where the curve ends
/// (judgement: their last two stops are still straight).
inline constexpr double kColourShoulder = 12.0;
inline constexpr double kColourShoulderWidth = 0.6;  ///< log H
inline constexpr double kColourEnd = 15.0;           ///< stops; the curve's last point
/// What a curve may be that is fitted to a film test: widths and gradient as natural logarithms.
/// Gradients of the straight line 0.4 to 1.3; toe widths as above, whose geometric middle is 0.22;
/// the shoulder 2.9 log H, 8 to 12 stops, above the toe where it was seen at all ([StepWedge],
/// [KodakE4050]). The spreads are wide on purpose: steps that show a thing overrule them
/// (judgement).
inline constexpr double kStraightGradient = 0.65;
inline constexpr double kLogStraightGradientSigma = 1.0;  ///< of its natural logarithm
inline constexpr double kFittedToeWidth = 0.22;           ///< log H; middle
inline constexpr double kLogToeWidthSigma = 0.5;          ///< of its natural logarithm
inline constexpr Spread kShoulderAboveToe{2.9, 0.6};      ///< log H
inline constexpr double kFittedShoulderWidth = 0.4;       ///< log H; middle
inline constexpr double kLogShoulderWidthSigma = 0.4;     ///< of its natural logarithm

// How far films are from such curves: one standard deviation.

/// Contrast, as a share: of a generic film (judgement; by itself it costs 0.36 stop of a frame's
/// exposure in scripts/validate with seed 101), and of a profile that does not say how sure it is
/// (judgement).
inline constexpr double kContrastSigma = 0.10;
inline constexpr double kStatedContrastSigma = 0.05;  ///< a profile that says nothing
/// How much longer or shorter a toe is, stops a stop below the speed point: the widths above are
/// -0.4 to +0.8 about the generic one. Colour films, whose curve is the mean of three published
/// ones, and profiles that say nothing are surer (judgement).
inline constexpr double kToeSigma = 0.28;
inline constexpr double kStatedToeSigma = 0.15;  ///< a profile that says nothing
/// Place of the shoulder, stops: of generic films (as above, and a quarter more since most sheets
/// end before it: judgement), and of profiles that say nothing (judgement).
inline constexpr double kShoulderSigma = 1.25;
inline constexpr double kStatedShoulderSigma = 1.0;  ///< a profile that says nothing
/// The gradient from 1.3 to 2.1 log H above the speed point against the average gradient, as a
/// share: 0.98 to 1.08 on films of [StepWedge] developed to 0.6 and more, 0.93 to 1.11 in the
/// layers of three colour films [KodakE4050, KodakE4051, KodakE4046], 1.2 to 1.7 in forms with a
/// long toe [PhotrioSoftplus]; generic films have 1.03. A profile that says nothing: half of its
/// contrast's sigma (judgement).
inline constexpr double kUpperGradientSigma = 0.06;
inline constexpr double kUpperShareOfContrast = 0.5;  ///< a profile that says nothing
/// Speed of a film whose profile says that it was measured, not how well, stops (judgement).
inline constexpr double kStatedSpeedSigma = 0.1;
/// One roll against another of the same film, stops: batches differ by 5 to 25 % in all
/// [Davis1922], processing by 0.15 (judgement). Once as a standard deviation beside a measured
/// speed, once as the scale of a distribution with heavy tails, for the roll that went wrong in the
/// tank.
inline constexpr double kRollSigma = 0.1;
inline constexpr double kRollScale = 0.12;  ///< stops; heavy tails
/// A film's true speed in its development against what stands on the box, stops (judgement).
inline constexpr double kBoxSpeedSigma = 0.2;
/// Layers of a colour film against each other, stops: the generic film's three published curves
/// differ by 0.02 to 0.04 log H in the layers' places and by 2 % in the ratios of their gradients
/// [KodakE4050, KodakE4051, KodakE4046]; a measured film's by what one development is from the next
/// (judgement).
inline constexpr double kLayerSigma = 0.15;
/// The same of a measured film.
inline constexpr double kMeasuredLayerSigma = 0.05;
/// Gradients of the red and the blue layer against the green one's, as a share: blue less green has
/// 7 % over the layers of 35 published colour films, of which red and blue get about equal parts;
/// where the film itself was measured, judgement.
inline constexpr double kLayerGradientSigma = 0.05;
inline constexpr double kMeasuredLayerGradientSigma = 0.01;  ///< of a measured film
/// A layer's dye also absorbs a tenth to a quarter of its own in a neighbour's light (common
/// practice), so that a difference of layers reads smaller by about as much. Sigma of what is not
/// unmixed, as a share of the difference.
inline constexpr double kUnmixedSigma = 0.15;
/// How far real curves' gradients wander about a smooth form, as a share, and over how much
/// density: the curves of [StepWedge] do by 4 to 7 % within a few tenths, and far more in the toe,
/// below its density. Wider than seen (judgement), so that the size of the differences decides on
/// contrast, not the form of a curve.
inline constexpr double kWander = 0.08;
inline constexpr double kWanderInToe = 0.25;  ///< added to it at base + fog
inline constexpr double kToeDensity = 0.12;   ///< over which that falls e-fold
inline constexpr double kWanderSpan = 0.4;    ///< density
/// The same along the exposure axis, log H, for fits of known exposures: the form alone misses
/// [StepWedge] by 0.01 to 0.02 of density at gradients of 0.5 to 0.8, and with these two numbers
/// intervals hold the truth as often as they say (FilmTest tests).
inline constexpr double kDeparture = 0.04;
inline constexpr double kDepartureSpan = 0.60;  ///< log H

// Ends of what a density says.

/// Share of the average (or mid-scale) gradient below which no exposure is read from a density
/// (judgement). A fifth puts the least readable exposure 0.9 to 1.1 stops below the speed point for
/// toes of 0.2 to 0.4 log H (computed from CurveShape).
inline constexpr double kReadableGradientShare = 0.2;
/// The usable highlight limit: half of the mid-scale gradient (judgement).
inline constexpr double kHighlightGradientShare = 0.5;
/// Mid-scale, log H above the speed point; metered mid-tones lie at 0.76 to 1.0.
inline constexpr double kMidScaleFrom = 0.5;
inline constexpr double kMidScaleTo = 1.5;  ///< log H above the speed point
/// A toe can be made longer by more than the first and less than the second, stops a stop. At -0.6
/// the blend into the unchanged curve begins with 2.5 times its mean slope; from 3 on it would fall
/// somewhere [FritschCarlson]. The long end is judgement. Estimates keep a little off both ends,
/// and fits of a series, which need only films that exist, stay below the last (judgement).
inline constexpr double kShortestToe = -0.6;
inline constexpr double kLongestToe = 2.0;          ///< most, not reached
inline constexpr double kShortestToeTried = -0.55;  ///< estimates
inline constexpr double kLongestToeTried = 1.9;     ///< estimates
inline constexpr double kLongestToeFitted = 1.5;    ///< fits of a series

// Development and long times.

/// Spread of developments at large, as natural logarithm of the contrast: softer or harder than
/// this by four times is a wrong log (judgement; a push by two stops that nobody asked for is 0.4).
inline constexpr double kDevelopmentSigma = 0.15;
/// Contrast grows as this power of the time of development, other things equal: mean and spread
/// over six series of developments of 35 published black-and-white ones (computed from the data;
/// FilmUse tests hold it against [StepWedge]).
inline constexpr double kTimeExponent = 0.57;
inline constexpr double kTimeExponentSigma = 0.14;  ///< of the power
/// By how much one roll's development lies off the film's mean, the same film and development being
/// wanted: contrast as natural logarithm, at home and in a lab whose bath is controlled; toe as in
/// kToeSigma, shoulder in stops (all judgement; a memory learns them).
inline constexpr double kHomeWander = 0.05;
inline constexpr double kLabWander = 0.03;      ///< likewise, in a lab
inline constexpr double kToeWander = 0.05;      ///< stops a stop
inline constexpr double kShoulderWander = 0.3;  ///< stops

/// A push of a stop lengthens the time by about 1.4 (common practice) and multiplies the average
/// gradient by this: it grows by 0.26 of 0.62 a doubling of the time [StepWedge]. How much a lab
/// does is uncertain by so much of it a stop (judgement).
inline constexpr double kPushGradientFactor = 1.2;
inline constexpr double kPushGradientSigma = 0.08;  ///< a stop of push or pull
/// Corrected time = metered time ^ exponent for films with no sheet at hand: the mean of eleven
/// black-and-white films' exponents on makers' sheets, 1.25 to 1.43 [MakerReciprocity].
inline constexpr double kReciprocityExponent = 1.31;
/// Seconds up to which the law of reciprocity holds, on colour negative sheets [KodakE4046, p. 2];
/// makers' exponents count from there [MakerReciprocity].
inline constexpr double kReciprocityHoldsTo = 1.0;
/// Sigma of the loss as a share of it. Published corrections for one film differ by up to 1.55
/// stops at 10 s [MakerReciprocity], [BondGainer], [KodakReciprocity], about half of the loss.
inline constexpr double kReciprocitySigma = 0.5;

}  // namespace basefog::film_facts
