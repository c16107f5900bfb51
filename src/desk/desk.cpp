// SPDX-License-Identifier: GPL-3.0-or-later
#include "basefog/desk/desk.hpp"

#include <csignal>
#include <thread>

#include "desk/routes.hpp"
#include "desk/server.hpp"
#include "desk/shelf.hpp"

namespace basefog::desk {

void serve(const DeskOptions& options) {
  // Blocked before any thread begins, so that none is interrupted and one waits for them.
  sigset_t ends{};
  sigemptyset(&ends);
  sigaddset(&ends, SIGINT);
  sigaddset(&ends, SIGTERM);
  pthread_sigmask(SIG_BLOCK, &ends, nullptr);

  Shelf shelf(options.rolls);
  if (shelf.size() == 1) shelf.desk(0);  // what is wrong with its folder shows at once
  Server server(options.port, [&shelf](const Call& call) { return answer(call, shelf); });
  std::jthread serving([&server] { server.run(); });
  options.opened(server.door().address() + (shelf.size() == 1 ? "roll/1/" : ""));
  int which = 0;
  sigwait(&ends, &which);
  shelf.stop();
  server.stop();
}

}  // namespace basefog::desk
