// SPDX-License-Identifier: GPL-3.0-or-later
// The members of a scan's record: fields() names each once, for every form in which a record is
// written and read.
#pragma once

#include <concepts>
#include <type_traits>

#include "basefog/density/scan_record.hpp"

namespace basefog::density {

template <class T, class Plain>
concept Is = std::same_as<std::remove_const_t<T>, Plain>;

void fields(const auto& way, Is<area::FrameRegion> auto& region) {
  way("centre_x", region.centre_x);
  way("centre_y", region.centre_y);
  way("width", region.width);
  way("height", region.height);
  way("angle_degrees", region.angle_degrees);
}

void fields(const auto& way, Is<ApertureGrid> auto& grid) {
  way("columns", grid.columns);
  way("rows", grid.rows);
  way("channels", grid.channels);
  way("density", grid.density);
  way("sigma", grid.sigma);
  way("clipped", grid.clipped);
  way("floored", grid.floored);
}

void fields(const auto& way, Is<NegativePicture> auto& picture) {
  way("width", picture.width);
  way("height", picture.height);
  way("channels", picture.channels);
  way("millidensity", picture.millidensity);
}

void fields(const auto& way, Is<FilmBase> auto& base) {
  way("kind", base.kind);
  way("density", base.density);
  way("sigma", base.sigma);
  way("flags", base.flags);
}

void fields(const auto& way, Is<response::ResponseSource> auto& source) {
  way("kind", source.kind);
  way("name", source.name);
  way("detail", source.detail);
  way("profile_fault", source.profile_fault);
  way("profile_space", source.profile_space);
}

void fields(const auto& way, Is<response::Response> auto& response) {
  way("kind", response.kind);
  way("gamma", response.gamma);
  way("source", response.source);
  way("relative_sigma", response.relative_sigma);
  way("densest", response.densest);
}

void fields(const auto& way, Is<scan::ScanMetadata> auto& metadata) {
  way("make", metadata.make);
  way("model", metadata.model);
  way("software", metadata.software);
  way("date", metadata.date);
  way("original_date", metadata.original_date);
  way("made_by_scanner", metadata.made_by_scanner);
  way("shutter_seconds", metadata.shutter_seconds);
  way("f_number", metadata.f_number);
  way("iso", metadata.iso);
  way("compensation_stops", metadata.compensation_stops);
  way("focal_length_mm", metadata.focal_length_mm);
  way("lens", metadata.lens);
  way("metering", metadata.metering);
  way("comment", metadata.comment);
}

void fields(const auto& way, Is<FrameMeasurement> auto& frame) {
  way("file", frame.file);
  way("label", frame.label);
  way("index", frame.index);
  way("region", frame.region);
  way("edges_found", frame.edges_found);
  way("apertures", frame.apertures);
  way("rebate", frame.rebate);
  way("densest", frame.densest);
  way("negative", frame.negative);
  way("overview", frame.overview);
  way("response", frame.response);
  way("metadata", frame.metadata);
  way("scan_width", frame.scan_width);
  way("scan_height", frame.scan_height);
  way("bits_per_sample", frame.bits_per_sample);
  way("light_known", frame.light_known);
  way("state", frame.state);
  way("flags", frame.flags);
}

void fields(const auto& way, Is<ScanFailure> auto& failure) {
  way("file", failure.file);
  way("flag", failure.flag);
  way("text", failure.text);
  way("next_step", failure.next_step);
}

void fields(const auto& way, Is<FileSum> auto& sum) {
  way("bytes", sum.bytes);
  way("crc32", sum.crc32);
  way("whole", sum.whole);
}

void fields(const auto& way, Is<ScanRecord> auto& record) {
  way("file", record.file);
  way("sum", record.sum);
  way("frames", record.frames);
  way("failure", record.failure);
}

// What read shows of a scan stands in no record that is handed over.

void fields(const auto& way, Is<area::FilmStrip> auto& strip) {
  way("first", strip.first);
  way("frames", strip.frames);
}

void fields(const auto& way, Is<ScanFinding> auto& finding) {
  way("width", finding.scan.width);
  way("height", finding.scan.height);
  way("bits_per_sample", finding.scan.bits_per_sample);
  way("format", finding.scan.format);
  way("channels", finding.scan.blocks.channels);
  way("frames", finding.layout.frames);
  way("strips", finding.layout.strips);
  way("frame_flags", finding.layout.frame_flags);
  way("frameless", finding.layout.frameless);
  way("edges_found", finding.layout.edges_found);
  way("flags", finding.layout.flags);
}

}  // namespace basefog::density
