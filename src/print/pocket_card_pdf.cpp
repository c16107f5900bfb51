// SPDX-License-Identifier: GPL-3.0-or-later
#include <cairo-pdf.h>

#include <memory>
#include <stdexcept>
#include <string>

#include "basefog/print/pocket_card.hpp"
#include "basefog/report/report.hpp"
#include "print/pocket_card.hpp"

namespace basefog::print {
namespace {

constexpr double kPointsPerMillimetre = 72 / 25.4;

using Surface = std::unique_ptr<cairo_surface_t, decltype(&cairo_surface_destroy)>;
using Pen = std::unique_ptr<cairo_t, decltype(&cairo_destroy)>;

cairo_status_t append(void* to, const unsigned char* data, unsigned length) {
  static_cast<std::string*>(to)->append(reinterpret_cast<const char*>(data), length);
  return CAIRO_STATUS_SUCCESS;
}

void draw_edge(cairo_t* pen) {
  constexpr double kInset = 0.1;
  constexpr double kQuarter = 1.5707963267948966;
  const double left = kInset + kCardCorner;
  const double right = kCardWidth - kInset - kCardCorner;
  const double top = kInset + kCardCorner;
  const double bottom = kCardHeight - kInset - kCardCorner;
  cairo_new_sub_path(pen);
  cairo_arc(pen, right, top, kCardCorner, -kQuarter, 0);
  cairo_arc(pen, right, bottom, kCardCorner, 0, kQuarter);
  cairo_arc(pen, left, bottom, kCardCorner, kQuarter, 2 * kQuarter);
  cairo_arc(pen, left, top, kCardCorner, 2 * kQuarter, 3 * kQuarter);
  cairo_close_path(pen);
  cairo_set_source_rgb(pen, 0.6, 0.6, 0.6);
  cairo_set_line_width(pen, 0.2);
  cairo_stroke(pen);
}

void draw_text(cairo_t* pen, const CardText& text) {
  const double grey = text.soft ? 0.27 : 0;
  cairo_set_source_rgb(pen, grey, grey, grey);
  cairo_set_font_size(pen, text.size);
  cairo_text_extents_t extents;
  cairo_text_extents(pen, text.text.c_str(), &extents);
  // A font wider than the one the card was laid out for is set smaller, never over the edge.
  const double room = text.from_right ? text.x : kCardWidth - text.x - 2;
  if (extents.x_advance > room) {
    cairo_set_font_size(pen, text.size * room / extents.x_advance);
    cairo_text_extents(pen, text.text.c_str(), &extents);
  }
  cairo_move_to(pen, text.from_right ? text.x - extents.x_advance : text.x, text.y);
  cairo_show_text(pen, text.text.c_str());
}

}  // namespace

void write_pocket_card_pdf(std::ostream& out, const roll::Analysis& analysis) {
  std::string bytes;
  {
    const Surface surface(
        cairo_pdf_surface_create_for_stream(append, &bytes, kCardWidth * kPointsPerMillimetre,
                                            kCardHeight * kPointsPerMillimetre),
        cairo_surface_destroy);
    cairo_pdf_surface_set_metadata(surface.get(), CAIRO_PDF_METADATA_TITLE, "Pocket card");
    cairo_pdf_surface_set_metadata(surface.get(), CAIRO_PDF_METADATA_CREATOR, "basefog");
    // A pure function of the roll: cairo would take the clock's date.
    cairo_pdf_surface_set_metadata(surface.get(), CAIRO_PDF_METADATA_CREATE_DATE,
                                   "2020-01-01T00:00:00Z");
    const Pen pen(cairo_create(surface.get()), cairo_destroy);
    cairo_scale(pen.get(), kPointsPerMillimetre, kPointsPerMillimetre);
    cairo_select_font_face(pen.get(), "serif", CAIRO_FONT_SLANT_NORMAL, CAIRO_FONT_WEIGHT_NORMAL);
    draw_edge(pen.get());
    for (const CardText& text : pocket_card(analysis)) draw_text(pen.get(), text);
    cairo_surface_finish(surface.get());
    // The surface knows first; the pen only of what went wrong while it drew.
    cairo_status_t status = cairo_surface_status(surface.get());
    if (status == CAIRO_STATUS_SUCCESS) status = cairo_status(pen.get());
    if (status != CAIRO_STATUS_SUCCESS) {
      throw std::runtime_error(std::string("PDF writer: ") + cairo_status_to_string(status));
    }
  }
  out << bytes;
}

}  // namespace basefog::print
