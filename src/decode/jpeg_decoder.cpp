// SPDX-License-Identifier: GPL-3.0-or-later
#include "decode/jpeg_decoder.hpp"

// clang-format off
#include <cstdio>  // before jpeglib.h, which needs FILE
#include <jpeglib.h>
// clang-format on

#include <array>
#include <csetjmp>
#include <cstdlib>
#include <string_view>

#include "basefog/core/error.hpp"
#include "basefog/core/limits.hpp"

namespace basefog::decode {
namespace {

constexpr int kExifMarker = JPEG_APP0 + 1;
constexpr int kProfileMarker = JPEG_APP0 + 2;
constexpr unsigned kWholeMarker = 0xFFFF;

/// libjpeg reports fatal errors by a function that must not return, so each call that may fail runs
/// under attempt(), with nothing to destroy between the two.
struct JpegSource {
  JpegSource() = default;
  JpegSource(const JpegSource&) = delete;
  JpegSource& operator=(const JpegSource&) = delete;
  ~JpegSource() {
    jpeg_destroy_decompress(&info);
    if (file != nullptr) std::fclose(file);
  }

  jpeg_decompress_struct info{};
  jpeg_error_mgr errors{};
  jpeg_progress_mgr progress{};
  std::jmp_buf failure{};
  std::array<char, JMSG_LENGTH_MAX> message{};
  std::FILE* file = nullptr;
  JSAMPROW row = nullptr;
};

JpegSource& source_of(j_common_ptr info) { return *static_cast<JpegSource*>(info->client_data); }

[[noreturn]] void fail(j_common_ptr info) {
  JpegSource& source = source_of(info);
  info->err->format_message(info, source.message.data());
  std::longjmp(source.failure, 1);
}

void keep_warning(j_common_ptr info, int level) {
  if (level >= 0) return;
  if (info->err->num_warnings++ == 0)
    info->err->format_message(info, source_of(info).message.data());
}

/// A file of some kilobytes may go over a large picture a thousand times.
void limit_passes(j_common_ptr info) {
  if (reinterpret_cast<j_decompress_ptr>(info)->input_scan_number <= limits::kMostJpegPasses)
    return;
  JpegSource& source = source_of(info);
  std::snprintf(source.message.data(), source.message.size(), "more than %d passes",
                limits::kMostJpegPasses);
  std::longjmp(source.failure, 1);
}

/// What a progressive file takes in memory: two bytes a coefficient.
std::uint64_t bytes_of_coefficients(const jpeg_decompress_struct& info) {
  std::uint64_t blocks = 0;
  for (int c = 0; c < info.num_components; ++c) {
    const jpeg_component_info& component = info.comp_info[c];
    blocks += std::uint64_t{component.width_in_blocks} * component.height_in_blocks;
  }
  return blocks * DCTSIZE2 * sizeof(JCOEF);
}

bool attempt(JpegSource& source, void (*step)(JpegSource&)) {
  if (setjmp(source.failure) != 0) return false;
  step(source);
  return true;
}

void read_header(JpegSource& source) {
  jpeg_create_decompress(&source.info);
  source.info.mem->max_memory_to_use = limits::kMostHeldBytes;
  source.info.progress = &source.progress;
  jpeg_stdio_src(&source.info, source.file);
  jpeg_save_markers(&source.info, kExifMarker, kWholeMarker);
  jpeg_save_markers(&source.info, kProfileMarker, kWholeMarker);
  jpeg_read_header(&source.info, TRUE);
}

void start(JpegSource& source) {
  source.info.err->num_warnings = 0;  // odd but harmless markers before the picture
  source.info.out_color_space = source.info.num_components == 1 ? JCS_GRAYSCALE : JCS_RGB;
  source.info.dct_method = JDCT_ISLOW;
  jpeg_start_decompress(&source.info);
}

void read_row(JpegSource& source) { jpeg_read_scanlines(&source.info, &source.row, 1); }

class JpegDecoder final : public Decoder {
 public:
  explicit JpegDecoder(const std::filesystem::path& path);

  const Picture& picture() const override { return picture_; }
  void decode(BlockAccumulator& rows) override;
  std::string damage() const override { return source_.message.data(); }

 private:
  void refuse_unsupported(const std::filesystem::path& path);
  void read_markers();

  JpegSource source_;
  Picture picture_;
};

JpegDecoder::JpegDecoder(const std::filesystem::path& path) {
  source_.info.err = jpeg_std_error(&source_.errors);
  source_.info.client_data = &source_;
  source_.errors.error_exit = fail;
  source_.errors.emit_message = keep_warning;
  source_.progress.progress_monitor = limit_passes;
  source_.file = std::fopen(path.c_str(), "rb");
  if (source_.file == nullptr)
    throw InputError(ErrorCode::unreadable, path, "cannot be opened", "check its permissions");
  if (!attempt(source_, read_header))
    throw InputError(ErrorCode::unreadable, path, "is not a whole JPEG file (" + damage() + ")",
                     "copy it again, or scan the frame again");
  refuse_unsupported(path);
  refuse_too_many_pixels(path, source_.info.image_width, source_.info.image_height);
  picture_.format = "JPEG";
  picture_.container = response::ScanFormat::jpeg;
  picture_.width = static_cast<int>(source_.info.image_width);
  picture_.height = static_cast<int>(source_.info.image_height);
  picture_.channels = source_.info.num_components == 1 ? 1 : 3;
  picture_.bits_per_sample = 8;
  picture_.kind = SampleKind::u8;
  picture_.white.fill(255);
  picture_.code_steps = 255;
  picture_.flags = {Flag::eight_bit, Flag::lossy};
  read_markers();
}

void JpegDecoder::refuse_unsupported(const std::filesystem::path& path) {
  switch (source_.info.jpeg_color_space) {
    case JCS_GRAYSCALE:
    case JCS_RGB:
    case JCS_YCbCr:
      break;
    case JCS_CMYK:
    case JCS_YCCK:
      throw InputError(ErrorCode::unsupported, path, "holds printing inks (CMYK)",
                       "export it as gray or RGB TIFF with 16 bits a channel");
    default:
      throw InputError(
          ErrorCode::unsupported, path,
          "has " + std::to_string(source_.info.num_components) + " components of an unknown kind",
          "export it as gray or RGB TIFF with 16 bits a channel");
  }
  if (jpeg_has_multiple_scans(&source_.info) != 0 &&
      bytes_of_coefficients(source_.info) > limits::kMostHeldBytes)
    throw InputError(ErrorCode::unsupported, path,
                     "is progressive and too large to be held in memory",
                     "export it as TIFF with 16 bits a channel");
}

void JpegDecoder::read_markers() {
  constexpr std::string_view kExif("Exif\0\0", 6);
  constexpr std::string_view kXmp("http://ns.adobe.com/xap/1.0/\0", 29);
  for (jpeg_saved_marker_ptr marker = source_.info.marker_list; marker != nullptr;
       marker = marker->next) {
    if (marker->marker != kExifMarker) continue;
    const std::string_view data(reinterpret_cast<const char*>(marker->data), marker->data_length);
    if (data.starts_with(kExif) && picture_.exif.empty())
      picture_.exif.assign(marker->data + kExif.size(), marker->data + marker->data_length);
    if (data.starts_with(kXmp) && picture_.xmp.empty()) picture_.xmp = data.substr(kXmp.size());
  }
  JOCTET* profile = nullptr;
  unsigned size = 0;
  if (jpeg_read_icc_profile(&source_.info, &profile, &size) == TRUE)
    picture_.icc_profile.assign(profile, profile + size);
  std::free(profile);
}

void JpegDecoder::decode(BlockAccumulator& rows) {
  if (!attempt(source_, start) || source_.errors.num_warnings > 0) return;
  // One row at a time, which stays in the nearest cache: off an even address, since libjpeg-turbo
  // writes rows that lie on one past all caches.
  std::vector<JSAMPLE> samples(
      static_cast<std::size_t>(picture_.width) * source_.info.output_components + 1);
  source_.row = samples.data() + 1;
  while (source_.info.output_scanline < source_.info.output_height) {
    // A damaged or short file goes on in grey: what comes after a warning is not counted.
    if (!attempt(source_, read_row) || source_.errors.num_warnings > 0) return;
    rows.add_pixels(source_.row, 0, picture_.width, picture_.channels);
    rows.end_row();
  }
}

}  // namespace

std::unique_ptr<Decoder> open_jpeg(const std::filesystem::path& path) {
  return std::make_unique<JpegDecoder>(path);
}

}  // namespace basefog::decode
