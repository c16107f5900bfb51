// SPDX-License-Identifier: GPL-3.0-or-later
// A general-purpose peer for scripts/bench: decodes whole pictures and takes a histogram of each
// channel. bench_imread FILE... Prints: seconds, peak memory in MiB.
#include <sys/resource.h>

#include <chrono>
#include <cstdio>
#include <opencv2/imgcodecs.hpp>
#include <opencv2/imgproc.hpp>

int main(int argc, char** argv) {
  const auto start = std::chrono::steady_clock::now();
  for (int i = 1; i < argc; ++i) {
    const cv::Mat picture = cv::imread(argv[i], cv::IMREAD_UNCHANGED);
    const bool byte = picture.depth() == CV_8U;
    const int bins[] = {byte ? 256 : 65536};
    const float range[] = {0, static_cast<float>(bins[0])};
    const float* ranges[] = {range};
    for (int c = 0; c < picture.channels(); ++c) {
      cv::Mat histogram;
      cv::calcHist(&picture, 1, &c, cv::noArray(), histogram, 1, bins, ranges);
    }
  }
  const std::chrono::duration<double> seconds = std::chrono::steady_clock::now() - start;
  rusage usage{};
  getrusage(RUSAGE_SELF, &usage);
  std::printf("%.4f %.1f\n", seconds.count(), static_cast<double>(usage.ru_maxrss) / 1024.0);
  return 0;
}
