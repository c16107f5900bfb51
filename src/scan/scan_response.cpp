// SPDX-License-Identifier: GPL-3.0-or-later
#include "scan/scan_response.hpp"

#include <string>
#include <utility>

#include "response/declared_response.hpp"
#include "response/icc_response.hpp"

namespace basefog::scan {

response::Response choose_response(const decode::Picture& picture, const ReadOptions& options,
                                   const std::optional<response::Response>& exif, FlagSet& flags) {
  if (options.response) return *options.response;
  response::IccResponse icc;
  if (!picture.icc_profile.empty()) {
    icc = response::response_from_icc(std::as_bytes(std::span(picture.icc_profile)),
                                      picture.channels);
    flags.insert(icc.flags);
    if (icc.response) return *std::move(icc.response);
  }
  if (picture.declared) return *picture.declared;
  if (exif) return *exif;
  flags.insert(Flag::response_assumed);
  response::Response assumed =
      response::assumed_response(picture.container, picture.bits_per_sample);
  assumed.source.profile_fault = icc.fault;
  assumed.source.profile_space = icc.space;
  return assumed;
}

}  // namespace basefog::scan
