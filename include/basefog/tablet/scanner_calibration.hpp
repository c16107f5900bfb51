// SPDX-License-Identifier: GPL-3.0-or-later
#pragma once

#include <filesystem>
#include <optional>
#include <span>
#include <string>
#include <vector>

#include "basefog/core/units.hpp"
#include "basefog/response/response.hpp"
#include "basefog/scan/scan.hpp"

namespace basefog::tablet {

/// Where one patch of a tablet lies on the upright scan, in pixels: a rectangle about its centre,
/// turned clockwise by angle_degrees.
struct PatchRegion {
  double centre_x = 0;       ///< pixels
  double centre_y = 0;       ///< pixels
  double width = 0;          ///< before turning
  double height = 0;         ///< before turning
  double angle_degrees = 0;  ///< 0: as the scan's sides
};

/// The code that a scanner gave for one patch, as a fraction of full scale, one a channel.
struct PatchCode {
  double mean = 0;       ///< 0 to 1
  double sigma = 0;      ///< standard deviation of the mean; 0 where it is not known
  bool clipped = false;  ///< more than a hundredth of its pixels at the white limit
};

/// One patch of a step tablet: its known density and the codes that the scanner gave for it.
struct TabletPatch {
  Density density = Density::from_value(0);  ///< as the tablet states it
  std::vector<PatchCode> codes;              ///< one a channel: 1 or 3
};

/// How one channel's code follows from density: code = black + scale * (10^-D + flare)^exponent,
/// all as fractions of full scale, then corrected by the table.
struct ChannelCalibration {
  double black = 0;  ///< code where no light comes through
  /// False for fewer than five patches: a power law alone goes through them, black taken as 0.
  bool black_fitted = true;
  double scale = 0;     ///< code of full light above black, without flare
  double exponent = 1;  ///< 1 linear, 0.45 a display's curve
  double flare = 0;  ///< stray light as a share of full light; 0 where the data do not ask for it
  /// True where the tablet's steps leave the formula by more than their scatter, so that the curve
  /// follows them.
  bool corrected = false;
  /// The calibration itself: code (fraction) and the density it stands for, lightest first.
  struct Point {
    double code = 0;                           ///< 0 to 1
    Density density = Density::from_value(0);  ///< base-10
  };
  std::vector<Point> curve;  ///< code falls as density rises
  /// Density read back less the known one, a patch; absent where the patch was clipped, or so near
  /// black that no density can be read.
  std::vector<std::optional<DensityDifference>> residuals;
  DensityDifference rms_residual;    ///< over the usable range
  DensityDifference worst_residual;  ///< the largest, as a magnitude, over the usable range
  Density lightest = Density::from_value(0);  ///< usable from here: the lightest unclipped patch
  /// Usable to here: beyond, the uncertainty of code and fit moves the density by more than 0.03,
  /// or the tablet ended.
  Density densest = Density::from_value(0);
  bool noise_limited = false;  ///< densest is set by noise, not by the tablet's last step
};

/// A scanner's measured response.
struct ScannerCalibration {
  std::vector<TabletPatch> patches;          ///< what was measured, as given
  std::vector<ChannelCalibration> channels;  ///< 1 or 3
  double relative_sigma = 0.01;              ///< as in Response
  std::string source;                        ///< "step tablet of 21 steps, tablet.tif"
};

/// What a calibration is told beside the patches.
struct CalibrationOptions {
  /// Standard deviation of the tablet's stated densities. Default 0.01, a tablet with its own
  /// certificate; 0.02 for one with nominal densities (common practice).
  double tablet_sigma = 0.01;
  /// Codes per full scale: no code is known better than half a step of them. Default 16 bits.
  double full_scale = 65535;
  /// What was measured; goes into messages and the response file.
  std::string source = "step tablet";

  /// Empty when usable, otherwise a sentence.
  std::string validate() const;
};

/// Fits each channel by weighted least squares, flare and a smooth correction only where the data
/// ask for them. Needs 3 patches that are not clipped, over 0.5 of density, in any order; fewer
/// than 5 are fitted by a power law, and refused where they lie off it by more than 0.06. Accuracy:
/// on a scanner that follows the formula, the tablet's own scatter (rms_residual;
/// CalibrateScanner.recovers_black_exponent_and_range_of_a_noisy_scanner); a published wedge is
/// read back to 0.01 (CalibrateScanner.recovers_a_real_scanner_LeafWedge). Throws InputError
/// (malformed) where there are too few patches or codes do not fall with density, and (usage) for
/// options that do not validate.
ScannerCalibration calibrate_scanner(std::span<const TabletPatch> patches,
                                     const CalibrationOptions& options = {});

/// The response that scans under this calibration have.
response::Response response_of(const ScannerCalibration& calibration);

/// Writes a response file for --response, whole or not at all; codes in units of 16 bits.
/// Throws InputError (not_writable).
void write_response_file(const std::filesystem::path& path, const ScannerCalibration& calibration);

/// Finds a column or row of `steps` (8 or more) equal patches whose density rises from one end to
/// the other, on a surround that is brighter or darker, turned by up to 3 degrees against the
/// scan's sides; gaps of up to a fifth of the pitch and figures on the patches do no harm. The scan
/// must have been read with a linear response, so that its light is the code. Lightest patch first.
/// The regions keep clear of the patches' edges. Throws InputError (malformed) where there is no
/// such row of patches.
std::vector<PatchRegion> find_tablet_patches(const scan::Scan& scan, int steps);

/// Reads the codes in the patches, figures and scratches trimmed off (the middle 80 % of the
/// blocks). densities and regions are of one size, lightest first. The scan as above.
/// Throws InputError (malformed) where the sizes differ or a patch holds no block.
std::vector<TabletPatch> measure_patches(const scan::Scan& scan,
                                         std::span<const PatchRegion> regions,
                                         std::span<const Density> densities);

/// From --steps FILE: densities of the steps, lightest first, one a line, or "step,density" with
/// the step's number first; a comma, semicolon or tab between, with the latter two decimal commas
/// too; a head line and # comments allowed.
/// Throws InputError (not_found, malformed).
std::vector<Density> read_step_densities(const std::filesystem::path& path);

/// From a file of "code,density" or "red,green,blue,density" lines, same form; codes in units of
/// full_scale. Throws InputError (not_found, malformed).
std::vector<TabletPatch> read_patch_codes(const std::filesystem::path& path, double full_scale);

/// From a file of "x,y,width,height" lines in pixels of the upright scan (x, y the upper left
/// corner), lightest patch first, same form. Throws InputError (not_found, malformed).
std::vector<PatchRegion> read_patch_regions(const std::filesystem::path& path);

}  // namespace basefog::tablet
