// SPDX-License-Identifier: GPL-3.0-or-later
#include "print/contact_sheet.hpp"

#include <cairo.h>

#include <algorithm>
#include <memory>
#include <stdexcept>
#include <vector>

#include "basefog/roll/frame_pictures.hpp"
#include "print/drawing.hpp"
#include "report/markup.hpp"
#include "report/wording.hpp"

namespace basefog::print {
namespace {

/// Negatives are cut in strips of six.
constexpr std::size_t kFramesOfStrip = 6;
constexpr Ink kPaper{1, 1, 1};
constexpr Ink kInk{0.11, 0.10, 0.09};
constexpr Ink kSoftInk{0.39, 0.37, 0.33};
constexpr Ink kFilm{0.07, 0.07, 0.07};
/// Edge markings, as the enlarger's light makes them.
constexpr Ink kEdgeMarks{0.93, 0.87, 0.72};

/// Lengths in pixels, in proportion of the proofs.
struct SheetForm {
  explicit SheetForm(int proof_side)
      : side(proof_side),
        letters(std::clamp(proof_side / 24, 11, 19)),
        gap(std::max(4, proof_side / 40)),
        rebate(letters * 2),
        margin(std::max(16, proof_side / 12)),
        width(2 * margin + static_cast<int>(kFramesOfStrip) * (side + gap) + gap) {}

  int side;
  int letters;  ///< size of type
  int gap;      ///< between frames
  int rebate;   ///< above and below the frames
  int margin;
  int width;  ///< of the sheet
};

/// A part of the sheet in its whole width, drawn upon by cairo.
class Band {
 public:
  Band(int width, int height)
      : surface_(cairo_image_surface_create(CAIRO_FORMAT_RGB24, width, height),
                 cairo_surface_destroy),
        pen_(cairo_create(surface_.get()), cairo_destroy) {
    if (cairo_status(pen_.get()) != CAIRO_STATUS_SUCCESS) {
      throw std::runtime_error(std::string("cannot draw: ") +
                               cairo_status_to_string(cairo_status(pen_.get())));
    }
    box(0, 0, width, height, kPaper);
  }

  void box(double x, double y, double width, double height, const Ink& ink) {
    cairo_set_source_rgb(pen_.get(), ink.red, ink.green, ink.blue);
    cairo_rectangle(pen_.get(), x, y, width, height);
    cairo_fill(pen_.get());
  }

  /// At most `room` pixels of text; what is longer loses its middle.
  void text(double x, double y, const std::string& text, double size, const Ink& ink, double room,
            bool strong = false) {
    cairo_select_font_face(pen_.get(), "sans-serif", CAIRO_FONT_SLANT_NORMAL,
                           strong ? CAIRO_FONT_WEIGHT_BOLD : CAIRO_FONT_WEIGHT_NORMAL);
    cairo_set_font_size(pen_.get(), size);
    const std::string whole = report::printable(text);
    std::string shown = whole;
    for (int kept = report::display_width(whole) - 1; kept > 0 && width_of(shown) > room; --kept) {
      shown = report::cut_middle(whole, kept);
    }
    cairo_set_source_rgb(pen_.get(), ink.red, ink.green, ink.blue);
    cairo_move_to(pen_.get(), x, y);
    cairo_show_text(pen_.get(), shown.c_str());
  }

  void picture(int left, int top, const Positive& picture) {
    cairo_surface_flush(surface_.get());
    for (int y = 0; y < picture.height; ++y) {
      std::uint32_t* to = row(top + y) + left;
      const std::uint8_t* from =
          &picture.samples[static_cast<std::size_t>(y) * picture.width * picture.channels];
      for (int x = 0; x < picture.width; ++x, from += picture.channels) {
        const auto code = [&](int c) { return std::uint32_t{from[picture.channels == 3 ? c : 0]}; };
        to[x] = code(0) << 16U | code(1) << 8U | code(2);
      }
    }
    cairo_surface_mark_dirty(surface_.get());
  }

  void append_to(Positive& sheet) {
    cairo_surface_flush(surface_.get());
    const int width = cairo_image_surface_get_width(surface_.get());
    const int height = cairo_image_surface_get_height(surface_.get());
    for (int y = 0; y < height; ++y) {
      const std::uint32_t* from = row(y);
      for (int x = 0; x < width; ++x) {
        for (const unsigned shift : {16U, 8U, 0U}) {
          sheet.samples.push_back(static_cast<std::uint8_t>(from[x] >> shift));
        }
      }
    }
    sheet.height += height;
  }

 private:
  std::uint32_t* row(int y) {
    unsigned char* data = cairo_image_surface_get_data(surface_.get());
    return reinterpret_cast<std::uint32_t*>(
        data + static_cast<std::ptrdiff_t>(y) * cairo_image_surface_get_stride(surface_.get()));
  }

  double width_of(const std::string& letters) {
    cairo_text_extents_t extents;
    cairo_text_extents(pen_.get(), letters.c_str(), &extents);
    return extents.x_advance;
  }

  std::unique_ptr<cairo_surface_t, decltype(&cairo_surface_destroy)> surface_;
  std::unique_ptr<cairo_t, decltype(&cairo_destroy)> pen_;
};

/// A frame's place in a strip.
struct StripFrame {
  const Positive* proof = nullptr;  ///< null where there is none
  std::string name;
  report::PictureWords needed;
};

Band strip(const SheetForm& form, const std::vector<StripFrame>& frames) {
  int tallest = form.side / 2;
  for (const StripFrame& frame : frames) {
    if (frame.proof != nullptr) tallest = std::max(tallest, frame.proof->height);
  }
  const int film = tallest + 2 * form.rebate;
  const int captions = 3 * form.letters;
  Band band(form.width, film + captions + form.margin);
  const int pitch = form.side + form.gap;
  band.box(form.margin, 0, static_cast<double>(frames.size()) * pitch + form.gap, film, kFilm);
  for (std::size_t i = 0; i < frames.size(); ++i) {
    const StripFrame& frame = frames[i];
    const int left = form.margin + form.gap + static_cast<int>(i) * pitch;
    if (frame.proof != nullptr) {
      band.picture(left + (form.side - frame.proof->width) / 2,
                   form.rebate + (tallest - frame.proof->height) / 2, *frame.proof);
    }
    band.text(left, film - form.rebate * 0.32, frame.name, form.letters, kEdgeMarks, form.side);
    const double below = film + form.letters * 1.5;
    band.text(left, below, frame.needed.needed, form.letters, kInk, form.side, true);
    const std::string doubt =
        frame.needed.range + (frame.needed.sureness.empty() ? "" : " ") + frame.needed.sureness;
    band.text(left, below + form.letters * 1.35, doubt, form.letters * 0.9, kSoftInk, form.side);
  }
  return band;
}

/// One a frame; empty where there is none.
std::vector<std::optional<Positive>> sheet_proofs(const roll::Analysis& analysis, ProofStyle style,
                                                  int side) {
  const PrintSetup setup = print_setup(analysis);
  std::vector<std::optional<Positive>> proofs(analysis.frames.size());
  roll::for_each_picture(
      analysis, side, [&](std::size_t i, const density::NegativePicture& picture) {
        const auto printed = print<std::uint8_t>(analysis.frames[i], picture, setup, style);
        if (printed) proofs[i] = reduced(*printed, side);
      });
  return proofs;
}

}  // namespace

ContactSheet contact_sheet(const roll::Analysis& analysis, ProofStyle style, int side,
                           const std::function<std::string(bool colour)>& headline) {
  const SheetForm form(side);
  const auto proofs = sheet_proofs(analysis, style, side);
  constexpr int kWidestLetter = 14;  // pixels of a caption's
  const std::vector<std::string> names =
      report::short_names(report::frame_names(analysis), std::max(8, side / kWidestLetter));
  ContactSheet sheet;
  sheet.picture.width = form.width;
  sheet.picture.channels = 3;
  sheet.colour =
      std::ranges::any_of(proofs, [](const auto& proof) { return proof && proof->channels == 3; });
  Band head(form.width, form.margin * 2);
  head.text(form.margin, form.margin, headline(sheet.colour), form.letters, kSoftInk,
            form.width - 2 * form.margin);
  head.append_to(sheet.picture);
  for (std::size_t first = 0; first < proofs.size(); first += kFramesOfStrip) {
    std::vector<StripFrame> frames;
    for (std::size_t i = first; i < std::min(first + kFramesOfStrip, proofs.size()); ++i) {
      frames.push_back(
          {proofs[i] ? &*proofs[i] : nullptr, names[i], report::picture_words(analysis.frames[i])});
    }
    strip(form, frames).append_to(sheet.picture);
  }
  return sheet;
}

}  // namespace basefog::print
