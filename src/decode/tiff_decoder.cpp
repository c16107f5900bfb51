// SPDX-License-Identifier: GPL-3.0-or-later
#include "decode/tiff_decoder.hpp"

#include <opencv2/core/cvdef.h>

#include <algorithm>
#include <cmath>
#include <cstring>

#include "basefog/core/error.hpp"
#include "basefog/core/limits.hpp"
#include "decode/tiff_rows.hpp"

namespace basefog::decode {
namespace {

bool is_float(const TiffPage& page) { return page.sample_format == SAMPLEFORMAT_IEEEFP; }

template <class Value>
Value value_at(const std::byte* samples, std::size_t index) {
  Value value;
  std::memcpy(&value, samples + index * sizeof(Value), sizeof(Value));
  return value;
}

/// Any kind of sample as a float; integers keep their code.
float any_sample(const TiffPage& page, const std::byte* samples, std::size_t i) {
  if (is_float(page)) {
    switch (page.bits) {
      case 16:
        return cv::float16_t::fromBits(value_at<std::uint16_t>(samples, i));
      case 32:
        return value_at<float>(samples, i);
      default:
        return static_cast<float>(value_at<double>(samples, i));
    }
  }
  switch (page.bits) {
    case 8:
      return value_at<std::uint8_t>(samples, i);
    case 16:
      return value_at<std::uint16_t>(samples, i);
    default:
      return static_cast<float>(value_at<std::uint32_t>(samples, i));
  }
}

double full_scale(const TiffFile& file, const TiffPage& page) {
  if (is_float(page)) return 1.0;
  const double all = std::exp2(page.bits) - 1;
  // 10, 12 or 14 bits kept in the low bits of 16. Other values are as a rule the picture's own
  // largest code, which says nothing about white.
  const double stated = file.short_tag(TIFFTAG_MAXSAMPLEVALUE);
  if (page.bits == 16 && (stated == 1023 || stated == 4095 || stated == 16383)) return stated;
  return all;
}

class TiffDecoder final : public Decoder {
 public:
  TiffDecoder(TiffFile file, const TiffPage& page, bool has_equals);
  void take_sensor_levels(const SensorLevels& levels);

  const Picture& picture() const override { return picture_; }
  void decode(BlockAccumulator& rows) override;
  std::string damage() const override { return file_.error(); }

 private:
  void read_tags(bool has_equals);
  void find_alpha();
  template <class Sample>
  void add_piece(BlockAccumulator& to, const TiffRows& from, int piece, int row) const;
  void add_as_float(BlockAccumulator& to, const TiffRows& from, int piece, int row);

  TiffFile file_;
  TiffPage page_;
  Picture picture_;
  bool planar_;
  std::optional<int> premultiplied_by_;  ///< place of the alpha that the colours were multiplied by
  bool as_float_ = false;                ///< samples that have to be converted one by one
  std::vector<float> converted_;
};

TiffDecoder::TiffDecoder(TiffFile file, const TiffPage& page, bool has_equals)
    : file_(std::move(file)),
      page_(page),
      planar_(page.planar == PLANARCONFIG_SEPARATE && page.samples > 1) {
  select_page(file_, page_);
  if (page_.width == 0 || page_.height == 0)
    throw InputError(ErrorCode::unreadable, file_.path(), "has no picture in it",
                     "copy it again, or scan the frame again");
  refuse_too_many_pixels(file_.path(), page_.width, page_.height);
  refuse_unsupported(file_, page_);
  if (page_.photometric == PHOTOMETRIC_YCBCR)
    TIFFSetField(file_.handle(), TIFFTAG_JPEGCOLORMODE, JPEGCOLORMODE_RGB);
  find_alpha();
  read_tags(has_equals);
}

void TiffDecoder::read_tags(bool has_equals) {
  picture_.format = "TIFF";
  picture_.width = static_cast<int>(page_.width);
  picture_.height = static_cast<int>(page_.height);
  picture_.channels = page_.is_gray() ? 1 : 3;
  picture_.orientation = page_.orientation;
  picture_.bits_per_sample = page_.bits;
  const bool converts = page_.bits == 64 || (is_float(page_) ? page_.bits == 16 : page_.bits == 32);
  as_float_ = converts || premultiplied_by_;
  picture_.kind = as_float_ || is_float(page_) ? SampleKind::f32
                  : page_.bits == 8            ? SampleKind::u8
                                               : SampleKind::u16;
  picture_.has_white_limit = !is_float(page_);
  const double full = full_scale(file_, page_);
  const bool white_is_zero = page_.photometric == PHOTOMETRIC_MINISWHITE;
  picture_.black.fill(white_is_zero ? full : 0);
  picture_.white.fill(white_is_zero ? 0 : full);
  picture_.code_steps = is_float(page_) ? std::exp2(page_.bits == 16 ? 11 : 24) : full;

  const auto text = [&](std::uint32_t tag) -> std::string {
    const char* value = nullptr;
    return TIFFGetField(file_.handle(), tag, &value) == 1 && value != nullptr ? value : "";
  };
  picture_.make = text(TIFFTAG_MAKE);
  picture_.model = text(TIFFTAG_MODEL);
  picture_.software = text(TIFFTAG_SOFTWARE);
  picture_.date = text(TIFFTAG_DATETIME);
  std::uint32_t bytes = 0;
  const std::uint8_t* profile = nullptr;
  if (TIFFGetField(file_.handle(), TIFFTAG_ICCPROFILE, &bytes, &profile) == 1 &&
      bytes <= limits::kMostMetadataBytes)
    picture_.icc_profile.assign(profile, profile + bytes);
  if (page_.bits == 8) picture_.flags.insert(Flag::eight_bit);
  if (page_.compression == COMPRESSION_JPEG || page_.compression == COMPRESSION_WEBP)
    picture_.flags.insert(Flag::lossy);
  if (has_equals) picture_.flags.insert(Flag::other_pages_ignored);
}

void TiffDecoder::take_sensor_levels(const SensorLevels& levels) {
  picture_.format = "DNG";
  picture_.black = levels.black;
  picture_.white = levels.white;
  picture_.code_steps = levels.white[0] - levels.black[0];
  picture_.linearization = levels.linearization;
  picture_.orientation = levels.orientation;
  picture_.declared = response::sensor_response();
  picture_.has_white_limit = true;
}

/// Samples beyond the colours: alpha is ignored, but the colours it was multiplied into are divided
/// by it; a sample of no stated kind is what scanners write for infrared.
void TiffDecoder::find_alpha() {
  const int colours = page_.is_gray() ? 1 : 3;
  for (int sample = colours; sample < page_.samples; ++sample) {
    const std::size_t extra = static_cast<std::size_t>(sample - colours);
    const std::uint16_t kind =
        extra < page_.extra_samples.size() ? page_.extra_samples[extra] : EXTRASAMPLE_UNSPECIFIED;
    if (kind == EXTRASAMPLE_UNSPECIFIED) picture_.flags.insert(Flag::infrared_ignored);
    if (kind == EXTRASAMPLE_ASSOCALPHA && !premultiplied_by_) premultiplied_by_ = sample;
  }
}

template <class Sample>
void TiffDecoder::add_piece(BlockAccumulator& to, const TiffRows& from, int piece, int row) const {
  const auto samples = [&](int plane) {
    return reinterpret_cast<const Sample*>(from.samples(plane, piece, row));
  };
  const int x = from.first_column(piece);
  if (!planar_) return to.add_pixels(samples(0), x, from.columns(piece), page_.samples);
  for (int c = 0; c < picture_.channels; ++c) to.add_channel(samples(c), c, x, from.columns(piece));
}

void TiffDecoder::add_as_float(BlockAccumulator& to, const TiffRows& from, int piece, int row) {
  const int channels = picture_.channels;
  const auto sample = [&](int x, int s) {
    const std::size_t place = planar_ ? x : static_cast<std::size_t>(x) * page_.samples + s;
    return any_sample(page_, from.samples(planar_ ? s : 0, piece, row), place);
  };
  const float full = static_cast<float>(std::max(picture_.white[0], picture_.black[0]));
  converted_.resize(static_cast<std::size_t>(from.columns(piece)) * channels);
  for (int x = 0; x < from.columns(piece); ++x) {
    float factor = 1;
    if (premultiplied_by_) {
      const float alpha = sample(x, *premultiplied_by_);
      factor = alpha > 0 ? full / alpha : 0;
    }
    for (int c = 0; c < channels; ++c) {
      const float value = sample(x, c) * factor;
      converted_[static_cast<std::size_t>(x) * channels + c] =
          premultiplied_by_ ? std::min(value, full) : value;
    }
  }
  to.add_pixels(converted_.data(), from.first_column(piece), from.columns(piece), channels);
}

void TiffDecoder::decode(BlockAccumulator& rows) {
  const int planes = planar_ ? std::max(picture_.channels, premultiplied_by_.value_or(0) + 1) : 1;
  TiffRows bands(file_, page_, planes);
  while (bands.next()) {
    for (int row = 0; row < bands.rows(); ++row) {
      for (int piece = 0; piece < bands.pieces(); ++piece) {
        if (as_float_)
          add_as_float(rows, bands, piece, row);
        else if (picture_.kind == SampleKind::u8)
          add_piece<std::uint8_t>(rows, bands, piece, row);
        else if (picture_.kind == SampleKind::u16)
          add_piece<std::uint16_t>(rows, bands, piece, row);
        else
          add_piece<float>(rows, bands, piece, row);
      }
      rows.end_row();
    }
  }
}

}  // namespace

std::unique_ptr<Decoder> open_tiff(TiffFile file, const std::vector<TiffPage>& pages) {
  const TiffPage& page = main_page(pages);
  const auto equals = std::count_if(pages.begin(), pages.end(), [&](const TiffPage& other) {
    return !other.reduced && other.same_shape_as(page);
  });
  return std::make_unique<TiffDecoder>(std::move(file), page, equals > 1);
}

std::unique_ptr<Decoder> open_linear_raw(TiffFile file, const TiffPage& page,
                                         const SensorLevels& levels) {
  auto decoder = std::make_unique<TiffDecoder>(std::move(file), page, false);
  decoder->take_sensor_levels(levels);
  return decoder;
}

}  // namespace basefog::decode
