// SPDX-License-Identifier: GPL-3.0-or-later
#include "matching/scan_orders.hpp"

#include <algorithm>
#include <charconv>
#include <map>
#include <numeric>

namespace basefog::matching {
namespace {

// How often each order is met (judgement).
constexpr double kReversed = 0.005;  ///< of whole rolls: readings must speak for it
constexpr double kByStrips = 0.003;  ///< of all orders, shared by those in strips
constexpr double kByFolders = 0.25;  ///< shared by those of several folders, where there are some
constexpr double kByNumbers = 2;     ///< against the order given, where that breaks the numbers'

using Order = std::vector<std::size_t>;

Order reversed(Order order) {
  std::reverse(order.begin(), order.end());
  return order;
}

/// The order given with each run of `length` scans turned round; the first run has `first`.
Order turned_strips(std::size_t frames, std::size_t length, std::size_t first) {
  Order order(frames);
  std::iota(order.begin(), order.end(), 0);
  std::size_t begin = 0;
  for (std::size_t end = first; begin < frames; end += length) {
    const std::size_t last = std::min(end, frames);
    std::reverse(order.begin() + static_cast<std::ptrdiff_t>(begin),
                 order.begin() + static_cast<std::ptrdiff_t>(last));
    begin = last;
  }
  return order;
}

/// Frames without a number lie where they were given among those with one: of a run of them each
/// has the number before it or after it, whichever there is, and half a step on.
std::vector<std::optional<double>> with_places_between(std::vector<std::optional<double>> numbers) {
  const auto first = std::ranges::find_if(numbers, [](const auto& n) { return n.has_value(); });
  const auto last =
      std::find_if(numbers.rbegin(), numbers.rend(), [](const auto& n) { return n.has_value(); });
  if (first == numbers.end()) return numbers;
  const double half_step = **last < **first ? -0.5 : 0.5;
  std::optional<double> before;
  const double begins = **first;
  for (auto& number : numbers) {
    if (!number)
      number = before ? *before + half_step : begins - half_step;
    else
      before = number;
  }
  return numbers;
}

/// By number, where four fifths of the frames have one; equal numbers stay in the order given.
std::optional<Order> by_numbers(std::span<const MatchFrame> frames) {
  std::vector<std::optional<double>> numbers;
  for (const MatchFrame& frame : frames) numbers.push_back(number_in(frame.label));
  const auto known = std::ranges::count_if(numbers, [](const auto& n) { return n.has_value(); });
  if (known == 0 || 5 * known < 4 * std::ssize(frames)) return std::nullopt;
  numbers = with_places_between(std::move(numbers));
  Order order(frames.size());
  std::iota(order.begin(), order.end(), 0);
  const bool falling = numbers.back() < numbers.front();
  if (falling) std::ranges::reverse(order);
  std::stable_sort(order.begin(), order.end(),
                   [&](std::size_t a, std::size_t b) { return numbers[a] < numbers[b]; });
  return order;
}

std::optional<Order> by_dates(std::span<const MatchFrame> frames) {
  constexpr std::size_t kMinute = 16;  // letters of 2026-03-01T14:05
  for (const MatchFrame& frame : frames) {
    if (frame.date.size() < kMinute) return std::nullopt;
  }
  Order order(frames.size());
  std::iota(order.begin(), order.end(), 0);
  std::stable_sort(order.begin(), order.end(),
                   [&](std::size_t a, std::size_t b) { return frames[a].date < frames[b].date; });
  return order;
}

/// Frames folder by folder, in the order in which the folders were given.
std::vector<Order> folders_of(std::span<const MatchFrame> frames) {
  std::vector<std::string> names;
  std::vector<Order> folders;
  for (std::size_t i = 0; i < frames.size(); ++i) {
    const auto at = std::find(names.begin(), names.end(), frames[i].folder);
    const auto k = static_cast<std::size_t>(at - names.begin());
    if (at == names.end()) {
      names.push_back(frames[i].folder);
      folders.emplace_back();
    }
    folders[k].push_back(i);
  }
  return folders;
}

/// One from each folder in turn.
Order taken_in_turn(const std::vector<Order>& folders) {
  Order order;
  std::size_t longest = 0;
  for (const Order& folder : folders) longest = std::max(longest, folder.size());
  for (std::size_t i = 0; i < longest; ++i) {
    for (const Order& folder : folders) {
      if (i < folder.size()) order.push_back(folder[i]);
    }
  }
  return order;
}

class OrderList {
 public:
  void add(ScanOrder order) {
    for (ScanOrder& known : orders_) {
      if (known.frames != order.frames) continue;
      known.prior += order.prior;
      return;
    }
    orders_.push_back(std::move(order));
  }

  std::vector<ScanOrder> weighed() {
    double sum = 0;
    for (const ScanOrder& order : orders_) sum += order.prior;
    for (ScanOrder& order : orders_) order.prior /= sum;
    return std::move(orders_);
  }

 private:
  std::vector<ScanOrder> orders_;
};

void add_strips(OrderList& list, std::size_t frames) {
  constexpr std::size_t kMostFrames = 80;  // more is no single roll
  if (frames > kMostFrames) return;
  struct Cut {
    std::size_t length;
    std::size_t first;
  };
  std::vector<Cut> cuts;
  for (const std::size_t length : {6U, 5U, 4U}) {  // as sleeves hold them (common practice)
    if (frames <= length) continue;
    cuts.push_back({length, length});
    if (frames % length != 0) cuts.push_back({length, frames % length});
  }
  for (const Cut& cut : cuts) {
    const double prior = kByStrips / 2 / static_cast<double>(cuts.size());
    const Order turned = turned_strips(frames, cut.length, cut.first);
    list.add({FilmDirection::forward, turned, prior, ScanWay::strips_backwards, cut.length});
    list.add(
        {FilmDirection::forward, reversed(turned), prior, ScanWay::strips_exchanged, cut.length});
  }
}

void add_folders(OrderList& list, std::span<const MatchFrame> frames) {
  std::vector<Order> folders = folders_of(frames);
  if (folders.size() < 2 || folders.size() > 4) return;
  list.add(
      {FilmDirection::forward, taken_in_turn(folders), kByFolders / 3, ScanWay::folders_in_turn});
  std::reverse(folders.begin(), folders.end());
  list.add(
      {FilmDirection::forward, taken_in_turn(folders), kByFolders / 3, ScanWay::folders_in_turn});
  Order following;
  for (const Order& folder : folders)
    following.insert(following.end(), folder.begin(), folder.end());
  list.add({FilmDirection::forward, following, kByFolders / 3, ScanWay::folders_exchanged});
}

}  // namespace

std::optional<double> number_in(const std::string& label) {
  int number = 0;
  const char* end = label.data() + label.size();
  const auto [stop, error] = std::from_chars(label.data(), end, number);
  if (error != std::errc()) return std::nullopt;
  if (stop == end) return number;
  const bool half = stop + 1 == end && (*stop == 'A' || *stop == 'a');
  return half ? std::optional(number + 0.5) : std::nullopt;
}

std::vector<ScanOrder> possible_orders(std::span<const MatchFrame> frames) {
  Order given(frames.size());
  std::iota(given.begin(), given.end(), 0);
  OrderList list;
  list.add({FilmDirection::forward, given, 1 - kReversed - kByStrips});
  list.add({FilmDirection::reversed, reversed(given), kReversed, ScanWay::backwards});
  if (const auto numbers = by_numbers(frames)) {
    list.add({FilmDirection::forward, *numbers, kByNumbers, ScanWay::by_numbers});
    list.add(
        {FilmDirection::reversed, reversed(*numbers), kReversed * kByNumbers, ScanWay::backwards});
  }
  if (const auto dates = by_dates(frames)) {
    list.add({FilmDirection::forward, *dates, 1, ScanWay::by_dates});
  }
  add_strips(list, frames.size());
  add_folders(list, frames);
  return list.weighed();
}

}  // namespace basefog::matching
