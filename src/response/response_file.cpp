// SPDX-License-Identifier: GPL-3.0-or-later
#include "response/response_file.hpp"

#include <fmt/format.h>

#include <algorithm>
#include <array>
#include <cmath>
#include <optional>
#include <utility>

#include "basefog/core/error.hpp"
#include "basefog/core/limits.hpp"
#include "core/file_keys.hpp"
#include "core/text_file.hpp"
#include "core/toml_text.hpp"
#include "response/monotone_light.hpp"
#include "response/response_file_keys.hpp"

namespace basefog::response {
namespace {

namespace fs = std::filesystem;

constexpr std::string_view kSchema = "basefog.response/1";
constexpr int kSamples = 65536;  // one a 16-bit code

constexpr const char* kNextStep = "basefog manual response says what it may hold";

[[noreturn]] void malformed(const fs::path& path, std::string problem) {
  throw InputError(ErrorCode::malformed, path, std::move(problem), kNextStep);
}

void refuse_unknown_keys(const fs::path& path, const toml::table& table, std::string_view section) {
  if (const auto key = unknown_key(table, section, kResponseFileKeys)) {
    malformed(path, *key + " " + unknown_key_text("a response file", section, kResponseFileKeys));
  }
}

std::string read_text(const fs::path& path) {
  std::error_code error;
  if (fs::status(path, error).type() == fs::file_type::not_found) {
    throw InputError(ErrorCode::not_found, path, "there is no such response file",
                     "--response takes linear, srgb, gamma=N or the path of a response file");
  }
  return read_text_file(path, {"a response file", limits::kMostSettingsBytes});
}

/// A finite number at table[key]; absent where the key is.
std::optional<double> number_at(const fs::path& path, const toml::table& table,
                                std::string_view key) {
  const toml::node* node = table.get(key);
  if (node == nullptr) return std::nullopt;
  const auto value = node->value<double>();
  if (!value || !std::isfinite(*value)) malformed(path, fmt::format("{} is not a number", key));
  return value;
}

std::optional<double> positive_at(const fs::path& path, const toml::table& table,
                                  std::string_view key) {
  const auto value = number_at(path, table, key);
  if (value && !(*value > 0)) malformed(path, fmt::format("{} is not above 0", key));
  return value;
}

CodeDensity read_point(const fs::path& path, const toml::node& node) {
  const toml::array* pair = node.as_array();
  if (pair == nullptr || pair->size() != 2) {
    malformed(path, "a point of the curve is not a pair [code, density]");
  }
  const auto code = pair->get(0)->value<double>();
  const auto density = pair->get(1)->value<double>();
  if (!code || !density || !std::isfinite(*code) || !std::isfinite(*density)) {
    malformed(path, "a point of the curve is not a pair of numbers [code, density]");
  }
  return {*code, *density};
}

ResponseChannel read_channel(const fs::path& path, const toml::table& table, double full_scale) {
  refuse_unknown_keys(path, table, "channel");
  const toml::array* points = table.get_as<toml::array>("curve");
  if (points == nullptr) malformed(path, "a channel has no curve = [[code, density], ...]");
  ResponseChannel channel;
  for (const toml::node& node : *points) channel.curve.push_back(read_point(path, node));
  std::ranges::sort(channel.curve, std::greater{}, &CodeDensity::code);
  if (channel.curve.size() < 2) malformed(path, "a curve needs at least two points");
  for (std::size_t i = 0; i < channel.curve.size(); ++i) {
    const CodeDensity& point = channel.curve[i];
    if (!(point.code > 0) || point.code > full_scale) {
      malformed(path, fmt::format("code {:g} is not above 0 and at most full_scale = {:g}",
                                  point.code, full_scale));
    }
    if (i > 0 && !(point.code < channel.curve[i - 1].code)) {
      malformed(path, fmt::format("code {:g} stands twice", point.code));
    }
    if (i > 0 && !(point.density > channel.curve[i - 1].density)) {
      malformed(path,
                fmt::format("density does not rise as the code falls, at code {:g}", point.code));
    }
  }
  return channel;
}

/// log10 of light for log10 of a code, through one channel's table.
class LogLight {
 public:
  explicit LogLight(const std::vector<CodeDensity>& curve) {
    for (const CodeDensity& point : curve)
      nodes_.emplace_back(std::log10(point.code), -point.density);
    std::ranges::reverse(nodes_);
  }
  double operator()(double log_code) const {
    // The segment around log_code, or the end one whose slope goes on.
    const auto above = std::upper_bound(nodes_.begin() + 1, nodes_.end() - 1, log_code,
                                        [](double x, const auto& node) { return x < node.first; });
    const auto below = above - 1;
    const double slope = (above->second - below->second) / (above->first - below->first);
    return below->second + slope * (log_code - below->first);
  }

 private:
  std::vector<std::pair<double, double>> nodes_;  // rising
};

std::vector<float> sample(const std::vector<CodeDensity>& curve, double full_scale) {
  const LogLight log_light(curve);
  const double white = log_light(std::log10(full_scale));
  std::vector<float> light(kSamples, 0.0F);  // code 0 is no light
  for (int i = 1; i < kSamples; ++i) {
    const double code = full_scale * i / (kSamples - 1);
    light[i] = static_cast<float>(std::pow(10.0, log_light(std::log10(code)) - white));
  }
  return light;
}

std::string steps_text(const std::vector<std::array<double, 3>>& steps) {
  std::string text = "# [code, density of the step, density read back less that]\nsteps = [\n";
  for (const auto& [code, density, residual] : steps) {
    text += std::isfinite(residual)
                ? fmt::format("  [{:.7g}, {:.6g}, {:.4f}],\n", code, density, residual)
                : fmt::format("  [{:.7g}, {:.6g}],  # not used\n", code, density);
  }
  return text + "]\n";
}

}  // namespace

ResponseFile read_response_file(const fs::path& path) {
  const toml::table root = parse_toml(read_text(path), path, kNextStep);
  const auto schema = root["schema"].value<std::string>();
  if (!schema) malformed(path, fmt::format("has no schema = \"{}\"", kSchema));
  if (*schema != kSchema) {
    throw InputError(ErrorCode::unsupported, path, "has the schema \"" + *schema + "\"",
                     fmt::format("this version reads \"{}\"", kSchema));
  }
  refuse_unknown_keys(path, root, "");
  ResponseFile file;
  file.source = root["source"].value_or(std::string());
  file.full_scale = positive_at(path, root, "full_scale").value_or(file.full_scale);
  file.relative_sigma = positive_at(path, root, "relative_sigma").value_or(file.relative_sigma);
  file.densest = number_at(path, root, "densest").value_or(file.densest);
  if (const toml::array* channels = root.get_as<toml::array>("channel")) {
    for (const toml::node& node : *channels) {
      const toml::table* table = node.as_table();
      if (table == nullptr) malformed(path, "channel is not a table [[channel]]");
      file.channels.push_back(read_channel(path, *table, file.full_scale));
    }
  }
  if (file.channels.size() != 1 && file.channels.size() != 3) {
    malformed(path, "has not one [[channel]] for all, or three for red, green and blue");
  }
  // Nothing is known beyond the densest step that every channel saw.
  for (const ResponseChannel& channel : file.channels) {
    file.densest = std::min(file.densest, channel.curve.back().density);
  }
  return file;
}

std::string text_of(const ResponseFile& file) {
  // TOML's basic strings escape control characters and quotes; toml++ knows how.
  const auto quoted = [](const std::string& text) {
    std::ostringstream out;
    out << toml::toml_formatter(toml::value<std::string>(text), toml::format_flags::none);
    return out.str();
  };
  std::string text = fmt::format(
      "# How a scanner's codes stand for film density; for --response.\n"
      "# curve: [code, density], straight in density against log code between the points.\n"
      "schema = \"{}\"\nsource = {}\nfull_scale = {:.10g}\nrelative_sigma = {:.4g}\n",
      kSchema, quoted(file.source), file.full_scale, file.relative_sigma);
  if (std::isfinite(file.densest)) {
    text +=
        fmt::format("densest = {:.4g}  # usable up to here, on the tablet's scale\n", file.densest);
  }
  for (const ResponseChannel& channel : file.channels) {
    text += "\n[[channel]]\n";
    for (const auto& [name, value] : channel.fit) text += fmt::format("{} = {:.6g}\n", name, value);
    if (!channel.steps.empty()) text += steps_text(channel.steps);
    text += "curve = [\n";
    for (const CodeDensity& point : channel.curve) {
      text += fmt::format("  [{:.9g}, {:.6g}],\n", point.code, point.density);
    }
    text += "]\n";
  }
  return text;
}

Response response_of(const ResponseFile& file) {
  Response response;
  response.kind = ResponseKind::calibrated;
  response.source = {.kind = SourceKind::response_file, .detail = file.source};
  response.relative_sigma = file.relative_sigma;
  ResponseCurves curves;
  double shallowest = std::numeric_limits<double>::infinity();
  for (const ResponseChannel& channel : file.channels) {
    const LogLight log_light(channel.curve);
    shallowest = std::min(shallowest, file.densest + log_light(std::log10(file.full_scale)));
    curves.push_back(sample(channel.curve, file.full_scale));
    make_monotone_light(curves.back());
  }
  response.densest = Density::from_value(shallowest);
  response.curves = std::make_shared<const ResponseCurves>(std::move(curves));
  return response;
}

}  // namespace basefog::response
