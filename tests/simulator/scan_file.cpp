// SPDX-License-Identifier: GPL-3.0-or-later
#include "simulator/scan_file.hpp"

#include <lcms2.h>
#include <tiffio.h>

#include <algorithm>
#include <array>
#include <memory>
#include <stdexcept>
#include <string>

namespace simulator {
namespace {

using CurvePtr = std::unique_ptr<cmsToneCurve, decltype(&cmsFreeToneCurve)>;
using ProfilePtr = std::unique_ptr<void, decltype(&cmsCloseProfile)>;
using TiffPtr = std::unique_ptr<TIFF, decltype(&TIFFClose)>;

CurvePtr tone_curve(const ScanImage& scan) {
  if (scan.encoding == Encoding::srgb) {
    // IEC 61966-2-1 as ICC parametric type 4.
    const std::array<cmsFloat64Number, 5> p = {2.4, 1 / 1.055, 0.055 / 1.055, 1 / 12.92, 0.04045};
    return {cmsBuildParametricToneCurve(nullptr, 4, p.data()), &cmsFreeToneCurve};
  }
  return {cmsBuildGamma(nullptr, 1.0), &cmsFreeToneCurve};
}

std::wstring description(const ScanImage& scan) {
  const std::wstring space = scan.codes.channels() == 1 ? L"Gray" : L"RGB";
  return scan.encoding == Encoding::srgb ? space + L" sRGB tone curve" : L"Linear " + space;
}

}  // namespace

std::vector<std::uint8_t> icc_profile(const ScanImage& scan) {
  const CurvePtr curve = tone_curve(scan);
  const std::array<cmsToneCurve*, 3> curves = {curve.get(), curve.get(), curve.get()};
  const cmsCIExyY d65 = {0.3127, 0.3290, 1};
  const cmsCIExyYTRIPLE rec709 = {{0.64, 0.33, 1}, {0.30, 0.60, 1}, {0.15, 0.06, 1}};
  const ProfilePtr profile(scan.codes.channels() == 1
                               ? cmsCreateGrayProfile(cmsD50_xyY(), curve.get())
                               : cmsCreateRGBProfile(&d65, &rec709, curves.data()),
                           &cmsCloseProfile);
  if (!profile) throw std::runtime_error("cannot make an ICC profile");
  std::unique_ptr<cmsMLU, decltype(&cmsMLUfree)> text(cmsMLUalloc(nullptr, 1), &cmsMLUfree);
  cmsMLUsetWide(text.get(), "en", "GB", description(scan).c_str());
  cmsWriteTag(profile.get(), cmsSigProfileDescriptionTag, text.get());

  cmsUInt32Number size = 0;
  cmsSaveProfileToMem(profile.get(), nullptr, &size);
  std::vector<std::uint8_t> bytes(size);
  if (cmsSaveProfileToMem(profile.get(), bytes.data(), &size) == 0) {
    throw std::runtime_error("cannot save an ICC profile");
  }
  // Bytes 24 to 35 hold the date and time of making: fixed, so that the scan is the same each run.
  const std::array<std::uint8_t, 12> date = {0x07, 0xd0, 0, 1, 0, 1, 0, 0, 0, 0, 0, 0};
  std::copy(date.begin(), date.end(), bytes.begin() + 24);
  return bytes;
}

void write_tiff(const std::filesystem::path& path, const ScanImage& scan) {
  const TiffPtr file(TIFFOpen(path.c_str(), "w"), &TIFFClose);
  if (!file) throw std::runtime_error("cannot write " + path.string());
  TIFF* tiff = file.get();
  const cv::Mat& codes = scan.codes;
  const int bits = codes.depth() == CV_8U ? 8 : 16;
  constexpr int kRowsPerStrip = 64;
  TIFFSetField(tiff, TIFFTAG_IMAGEWIDTH, codes.cols);
  TIFFSetField(tiff, TIFFTAG_IMAGELENGTH, codes.rows);
  TIFFSetField(tiff, TIFFTAG_BITSPERSAMPLE, bits);
  TIFFSetField(tiff, TIFFTAG_SAMPLESPERPIXEL, codes.channels());
  TIFFSetField(tiff, TIFFTAG_PHOTOMETRIC,
               codes.channels() == 1 ? PHOTOMETRIC_MINISBLACK : PHOTOMETRIC_RGB);
  TIFFSetField(tiff, TIFFTAG_PLANARCONFIG, PLANARCONFIG_CONTIG);
  TIFFSetField(tiff, TIFFTAG_ORIENTATION, ORIENTATION_TOPLEFT);
  TIFFSetField(tiff, TIFFTAG_COMPRESSION, COMPRESSION_ADOBE_DEFLATE);
  TIFFSetField(tiff, TIFFTAG_PREDICTOR, PREDICTOR_HORIZONTAL);
  TIFFSetField(tiff, TIFFTAG_ROWSPERSTRIP, kRowsPerStrip);
  TIFFSetField(tiff, TIFFTAG_RESOLUTIONUNIT, RESUNIT_INCH);
  TIFFSetField(tiff, TIFFTAG_XRESOLUTION, 25.4 / scan.pixel_mm);
  TIFFSetField(tiff, TIFFTAG_YRESOLUTION, 25.4 / scan.pixel_mm);
  const std::vector<std::uint8_t> icc = icc_profile(scan);
  TIFFSetField(tiff, TIFFTAG_ICCPROFILE, static_cast<std::uint32_t>(icc.size()), icc.data());
  for (int y = 0; y < codes.rows; ++y) {
    cv::Mat row = codes.row(y).clone();
    if (TIFFWriteScanline(tiff, row.data, static_cast<std::uint32_t>(y), 0) < 0) {
      throw std::runtime_error("cannot write " + path.string());
    }
  }
}

}  // namespace simulator
