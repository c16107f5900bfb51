// SPDX-License-Identifier: GPL-3.0-or-later
#include "print/drawing.hpp"

#include <cairo-pdf.h>
#include <cairo-svg.h>
#include <fmt/format.h>

#include <numbers>
#include <stdexcept>

#include "report/markup.hpp"

namespace basefog::print {
namespace {

constexpr double kPointsPerMillimetre = 72 / 25.4;
/// What stays free at a page's right edge, mm.
constexpr double kFreeEdge = 2;

cairo_status_t append(void* to, const unsigned char* data, unsigned length) {
  static_cast<std::string*>(to)->append(reinterpret_cast<const char*>(data), length);
  return CAIRO_STATUS_SUCCESS;
}

cairo_surface_t* new_surface(DrawingForm form, double width, double height,
                             const std::string& title, std::string* bytes) {
  width *= kPointsPerMillimetre;
  height *= kPointsPerMillimetre;
  if (form == DrawingForm::svg)
    return cairo_svg_surface_create_for_stream(append, bytes, width, height);
  cairo_surface_t* surface = cairo_pdf_surface_create_for_stream(append, bytes, width, height);
  cairo_pdf_surface_set_metadata(surface, CAIRO_PDF_METADATA_TITLE, title.c_str());
  cairo_pdf_surface_set_metadata(surface, CAIRO_PDF_METADATA_CREATOR, "basefog");
  // A pure function of what is drawn: cairo would take the clock's date.
  cairo_pdf_surface_set_metadata(surface, CAIRO_PDF_METADATA_CREATE_DATE, "2020-01-01T00:00:00Z");
  return surface;
}

void set_ink(cairo_t* pen, const Ink& ink) {
  cairo_set_source_rgb(pen, ink.red, ink.green, ink.blue);
}

double advance_of(cairo_t* pen, const std::string& text) {
  cairo_text_extents_t extents;
  cairo_text_extents(pen, text.c_str(), &extents);
  return extents.x_advance;
}

/// cairo's SVG with title and description, and without the number that it gives each surface of a
/// process.
std::string with_words(std::string svg, const std::string& title, const std::string& words) {
  constexpr std::string_view kNumbered = "<g id=\"surface";
  if (const std::size_t at = svg.find(kNumbered); at != std::string::npos) {
    svg.erase(at + 2, svg.find('>', at) - at - 2);
  }
  const std::size_t inside = svg.find('>', svg.find("<svg")) + 1;
  return svg.insert(inside, fmt::format("\n<title>{}</title>\n<desc>\n{}</desc>",
                                        report::escape_markup(title), words));
}

}  // namespace

Drawing::Drawing(DrawingForm form, double width, double height, std::string title)
    : form_(form),
      width_(width),
      height_(height),
      title_(std::move(title)),
      surface_(new_surface(form, width, height, title_, &bytes_), cairo_surface_destroy),
      pen_(cairo_create(surface_.get()), cairo_destroy) {
  cairo_scale(pen_.get(), kPointsPerMillimetre, kPointsPerMillimetre);
  // Paper, for viewers with another ground.
  set_ink(pen_.get(), {1, 1, 1});
  if (form == DrawingForm::svg) cairo_paint(pen_.get());
}

void Drawing::line(double x1, double y1, double x2, double y2, double width, const Ink& ink) {
  set_ink(pen_.get(), ink);
  cairo_set_line_width(pen_.get(), width);
  cairo_move_to(pen_.get(), x1, y1);
  cairo_line_to(pen_.get(), x2, y2);
  cairo_stroke(pen_.get());
}

void Drawing::round_edge(double radius, double width, const Ink& ink) {
  constexpr double kQuarter = std::numbers::pi / 2;
  const double near = width / 2 + radius;
  const double right = width_ - near;
  const double bottom = height_ - near;
  cairo_new_sub_path(pen_.get());
  cairo_arc(pen_.get(), right, near, radius, -kQuarter, 0);
  cairo_arc(pen_.get(), right, bottom, radius, 0, kQuarter);
  cairo_arc(pen_.get(), near, bottom, radius, kQuarter, 2 * kQuarter);
  cairo_arc(pen_.get(), near, near, radius, 2 * kQuarter, 3 * kQuarter);
  cairo_close_path(pen_.get());
  set_ink(pen_.get(), ink);
  cairo_set_line_width(pen_.get(), width);
  cairo_stroke(pen_.get());
}

double Drawing::text(double x, double y, std::string_view text, const Lettering& lettering,
                     double room) {
  const std::string shown = report::printable(text);
  words_ += report::escape_markup(shown) + '\n';
  set_ink(pen_.get(), lettering.ink);
  // Where a font of that name is missing, the system's own of that kind stands in.
  cairo_select_font_face(pen_.get(), lettering.face == Face::serif ? "serif" : "sans-serif",
                         CAIRO_FONT_SLANT_NORMAL, CAIRO_FONT_WEIGHT_NORMAL);
  cairo_set_font_size(pen_.get(), lettering.size);
  if (room <= 0) room = lettering.from_right ? x : width_ - kFreeEdge - x;
  double advance = advance_of(pen_.get(), shown);
  if (advance > room) {
    cairo_set_font_size(pen_.get(), lettering.size * room / advance);
    advance = room;
  }
  const double begin = lettering.from_right ? x - advance : x;
  cairo_move_to(pen_.get(), begin, y);
  cairo_show_text(pen_.get(), shown.c_str());
  return begin + advance;
}

void Drawing::next_page() { cairo_show_page(pen_.get()); }

std::string Drawing::finish() {
  cairo_surface_finish(surface_.get());
  // The surface knows first; the pen only of what went wrong while it drew.
  cairo_status_t status = cairo_surface_status(surface_.get());
  if (status == CAIRO_STATUS_SUCCESS) status = cairo_status(pen_.get());
  if (status != CAIRO_STATUS_SUCCESS) {
    throw std::runtime_error(std::string("cannot draw: ") + cairo_status_to_string(status));
  }
  return form_ == DrawingForm::svg ? with_words(std::move(bytes_), title_, words_)
                                   : std::move(bytes_);
}

}  // namespace basefog::print
