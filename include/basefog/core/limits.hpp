// SPDX-License-Identifier: GPL-3.0-or-later
#pragma once

#include <cstddef>
#include <cstdint>

/// Sizes above which a file is refused before memory is taken for it. All are judgement: several
/// times the largest that the trade makes. A file over one of them throws InputError with the limit
/// in its text.
namespace basefog::limits {

/// Bytes of a mebibyte.
constexpr std::size_t kMebibyte = std::size_t{1} << 20;

/// Pixels of a scan: a 4 x 5 inch sheet at 9,000 pixels an inch has 1,620 million.
constexpr std::uint64_t kMostPixels = 2'000'000'000;
/// Pixels along one side, each of which has sums of its own: 36 frames on one strip at 9,000 pixels
/// an inch are 480,000 long.
constexpr std::uint64_t kMostPixelsASide = 1'000'000;
/// Bytes of decoded picture held at once: a strip, a row of tiles, or the whole of a progressive
/// JPEG or an interlaced PNG.
constexpr std::uint64_t kMostHeldBytes = 512 * kMebibyte;
/// Bytes of a packed TIFF strip, and of any other single thing in a TIFF file.
constexpr std::size_t kMostPackedBytes = 1024 * kMebibyte;
/// Bytes of an unpacked camera raw.
constexpr std::size_t kMostRawBytes = 1024 * kMebibyte;
/// Passes of a progressive JPEG; encoders write about ten.
constexpr int kMostJpegPasses = 100;
/// Bytes of a colour profile, or of a text, that a PNG holds packed, and how many of them.
constexpr std::size_t kMostPngChunkBytes = 4 * kMebibyte;
constexpr unsigned kMostPngChunks = 64;  ///< profiles and texts of one PNG
/// Bytes of any one of a file's metadata: Exif or one of its values, XMP, IPTC, a colour profile.
/// And elements of XMP, of which the metadata library takes 700 bytes each: editors that keep every
/// step of a picture's history write some thousands. What is more is not read, with a word.
constexpr std::size_t kMostMetadataBytes = 16 * kMebibyte;
constexpr std::size_t kMostXmpElements = 50'000;  ///< of one file's XMP
/// Pages of a TIFF file that are looked at.
constexpr std::size_t kMostTiffPages = 1000;

/// Scans or records of one review: a roll has up to 40 frames; each takes 1.4 MB of memory.
constexpr std::size_t kMostScansInReview = 1000;

/// Bytes of a log or a file of pairs, and rows of a log.
constexpr std::size_t kMostLogBytes = 4 * kMebibyte;
constexpr std::size_t kMostLogRows = 10'000;  ///< of one log
/// Rows of a table of densities, of steps or of codes.
constexpr std::size_t kMostTableRows = 1000;
/// Bytes of a camera, film or response file and of a table of densities or codes.
constexpr std::size_t kMostSettingsBytes = 4 * kMebibyte;
/// Bytes of a scan's record, and numbers in all of its arrays, which are packed.
constexpr std::size_t kMostRecordBytes = 128 * kMebibyte;
constexpr std::size_t kMostRecordNumbers = 100'000'000;  ///< unpacked

}  // namespace basefog::limits
