// SPDX-License-Identifier: GPL-3.0-or-later
// The door of the desk, tried from outside with raw sockets: a browser or a library would not send
// most of this. What is tried follows what is known of attacks on servers of one machine: names
// that are led to its address, other sites' pages, forms, guessed keys, long and slow requests.
#include "desk/server.hpp"

#include <arpa/inet.h>
#include <gtest/gtest.h>
#include <netinet/in.h>
#include <poll.h>
#include <sys/socket.h>
#include <unistd.h>

#include <atomic>
#include <chrono>
#include <memory>
#include <set>
#include <thread>
#include <vector>

#include "basefog/core/error.hpp"

namespace basefog::desk {
namespace {

using namespace std::chrono_literals;
using Clock = std::chrono::steady_clock;

/// A connection of one's own to the desk's port.
class Caller {
 public:
  explicit Caller(int port) : fd_(::socket(AF_INET, SOCK_STREAM, 0)) {
    sockaddr_in to{};
    to.sin_family = AF_INET;
    to.sin_port = htons(static_cast<std::uint16_t>(port));
    to.sin_addr.s_addr = htonl(INADDR_LOOPBACK);
    connected_ = ::connect(fd_, reinterpret_cast<const sockaddr*>(&to), sizeof to) == 0;
  }
  Caller(const Caller&) = delete;
  Caller& operator=(const Caller&) = delete;
  ~Caller() { ::close(fd_); }

  bool connected() const { return connected_; }
  /// False once the desk has hung up.
  bool send(std::string_view text) const {
    while (!text.empty()) {
      const ssize_t sent = ::send(fd_, text.data(), text.size(), MSG_NOSIGNAL);
      if (sent <= 0) return false;
      text.remove_prefix(static_cast<std::size_t>(sent));
    }
    return true;
  }
  /// All that comes until the desk hangs up, or for so long.
  std::string answer(std::chrono::milliseconds most = 12s) const {
    std::string text;
    const auto until = Clock::now() + most;
    while (true) {
      pollfd ready{fd_, POLLIN, 0};
      const auto left = std::chrono::duration_cast<std::chrono::milliseconds>(until - Clock::now());
      if (left.count() <= 0 || ::poll(&ready, 1, static_cast<int>(left.count())) <= 0) break;
      char buffer[4096];
      const ssize_t got = ::recv(fd_, buffer, sizeof buffer, 0);
      if (got <= 0) break;
      text.append(buffer, static_cast<std::size_t>(got));
    }
    return text;
  }

 private:
  int fd_;
  bool connected_ = false;
};

/// "403" of "HTTP/1.1 403 Forbidden"; empty where the desk hung up without a word.
std::string status_in(const std::string& answer) {
  return answer.starts_with("HTTP/1.1 ") ? answer.substr(9, 3) : "";
}

class Door : public testing::Test {
 protected:
  Door()
      : server_(0, [this](const Call& call) {
          ++asked_;
          return Answer{.body = std::string(call.place) + "|" + std::string(call.body)};
        }) {
    serving_ = std::jthread([this] { server_.run(); });
  }
  ~Door() override { server_.stop(); }

  int port() const { return server_.door().port; }
  std::string key() const { return server_.door().key; }
  std::string host() const { return "Host: 127.0.0.1:" + std::to_string(port()) + "\r\n"; }
  std::string origin() const {
    return "Origin: http://127.0.0.1:" + std::to_string(port()) + "\r\n";
  }
  std::string get(const std::string& target, const std::string& heads) const {
    return "GET " + target + " HTTP/1.1\r\n" + heads + "\r\n";
  }
  std::string post(const std::string& heads, const std::string& body) const {
    return "POST /" + key() + "/x HTTP/1.1\r\n" + heads +
           "Content-Length: " + std::to_string(body.size()) + "\r\n\r\n" + body;
  }
  std::string json() const { return "Content-Type: application/json\r\n"; }
  std::string ask(const std::string& request) const {
    const Caller caller(port());
    caller.send(request);
    return caller.answer();
  }
  /// Neither answered nor handed over.
  void refused(const std::string& what, const std::string& request) {
    const int before = asked_;
    const std::string status = status_in(ask(request));
    EXPECT_TRUE(status.empty() || status[0] == '4') << what << ": " << status;
    EXPECT_EQ(asked_, before) << what;
    ++refused_;
  }

  std::atomic<int> asked_ = 0;
  int refused_ = 0;
  Server server_;
  std::jthread serving_;
};

TEST_F(Door, opens_to_who_has_the_key) {
  const std::string answer = ask(get("/" + key() + "/roll/1/", host()));
  EXPECT_EQ(status_in(answer), "200");
  EXPECT_TRUE(answer.ends_with("\r\n\r\nroll/1/|")) << answer;
  const std::string posted = ask(post(host() + origin() + json(), "{}"));
  EXPECT_TRUE(posted.ends_with("x|{}")) << posted;
}

TEST_F(Door, says_on_every_answer_what_may_run) {
  for (const std::string& target : {"/" + key() + "/", std::string("/")}) {
    const std::string answer = ask(get(target, host()));
    EXPECT_NE(answer.find("Content-Security-Policy: default-src 'none'; script-src 'self'"),
              std::string::npos);
    EXPECT_EQ(answer.find("unsafe"), std::string::npos);
    EXPECT_NE(answer.find("frame-ancestors 'none'"), std::string::npos);
    EXPECT_NE(answer.find("Referrer-Policy: no-referrer"), std::string::npos);
    EXPECT_NE(answer.find("Cross-Origin-Resource-Policy: same-origin"), std::string::npos);
    EXPECT_EQ(answer.find("Access-Control"), std::string::npos);
  }
}

TEST_F(Door, refuses_hostile_requests) {
  const std::string at = "/" + key() + "/";
  std::string near_key = key();
  near_key.back() = near_key.back() == '0' ? '1' : '0';
  const std::string port_text = std::to_string(port());

  // Names that are led to this machine, and other ports of it.
  refused("rebound name", get(at, "Host: evil.example:" + port_text + "\r\n"));
  refused("rebound name without port", get(at, "Host: evil.example\r\n"));
  refused("localhost", get(at, "Host: localhost:" + port_text + "\r\n"));
  refused("name that begins so", get(at, "Host: 127.0.0.1.evil.example:" + port_text + "\r\n"));
  refused("other port", get(at, "Host: 127.0.0.1:1\r\n"));
  refused("no host", get(at, ""));
  refused("two hosts", get(at, host() + "Host: evil.example\r\n"));
  refused("twice the host", get(at, host() + host()));
  refused("host in the request's line", get("http://evil.example" + at, host()));
  // Other sites' pages.
  refused("foreign origin", get(at, host() + "Origin: https://evil.example\r\n"));
  refused("origin null", get(at, host() + "Origin: null\r\n"));
  refused("origin of another port", get(at, host() + "Origin: http://127.0.0.1:1\r\n"));
  refused("origin over TLS", get(at, host() + "Origin: https://127.0.0.1:" + port_text + "\r\n"));
  refused("fetched across sites", get(at, host() + "Sec-Fetch-Site: cross-site\r\n"));
  refused("fetched from the same site", get(at, host() + "Sec-Fetch-Site: same-site\r\n"));
  refused("post without origin", post(host() + json(), "{}"));
  refused("post from elsewhere", post(host() + json() + "Origin: https://evil.example\r\n", "{}"));
  refused("a form", post(host() + origin() + "Content-Type: text/plain\r\n", "{}"));
  refused("a form with files",
          post(host() + origin() + "Content-Type: multipart/form-data; boundary=x\r\n",
               "--x\r\nContent-Disposition: form-data; name=\"a\"\r\n\r\nb\r\n--x--\r\n"));
  refused("asked beforehand", "OPTIONS " + at + " HTTP/1.1\r\n" + host() + origin() +
                                  "Access-Control-Request-Method: POST\r\n\r\n");
  // Keys.
  refused("no key", get("/", host()));
  refused("page without key", get("/roll/1/", host()));
  refused("key with its last digit wrong", get("/" + near_key + "/", host()));
  refused("key cut short", get("/" + key().substr(0, 39) + "/", host()));
  refused("key and more", get("/" + key() + "0/", host()));
  refused("key without its end", get("/" + key(), host()));
  refused("key in capitals", get("/" + std::string(40, 'A') + "/", host()));
  refused("key behind a question mark", get("/?" + key() + "/", host()));
  refused("key as a cookie", get("/roll/1/", host() + "Cookie: key=" + key() + "\r\n"));
  // Paths.
  refused("up", get(at + "../../etc/passwd", host()));
  refused("up, encoded", get(at + "%2e%2e/%2e%2e/etc/passwd", host()));
  refused("up with backslashes", get(at + "..\\..\\x", host()));
  refused("a zero in it", get(at + std::string("a\0b", 3), host()));
  refused("two slashes before", get("//" + key() + "/", host()));
  // Methods and sizes.
  refused("put", "PUT " + at + " HTTP/1.1\r\n" + host() + origin() + "Content-Length: 1\r\n\r\nx");
  refused("delete", "DELETE " + at + " HTTP/1.1\r\n" + host() + origin() + "\r\n");
  refused("head", "HEAD " + at + " HTTP/1.1\r\n" + host() + "\r\n");
  refused("connect", "CONNECT evil.example:443 HTTP/1.1\r\n" + host() + "\r\n");
  refused("no method at all", "nonsense\r\n\r\n");
  refused("other protocol", "\x16\x03\x01\x02\x01\x01\xfc\x03\x03\r\n\r\n");
  refused("long address", get(at + std::string(400, 'a'), host()));
  refused("longer address", get(at + std::string(20000, 'a'), host()));
  refused("large head", get(at, host() + "X: " + std::string(30000, 'a') + "\r\n"));
  std::string many;
  for (int i = 0; i < 3000; ++i) many += "X-" + std::to_string(i) + ": y\r\n";
  refused("many heads", get(at, host() + many));
  refused("get with a body",
          "GET " + at + " HTTP/1.1\r\n" + host() + "Content-Length: 2\r\n\r\nhi");
  refused("large body", post(host() + origin() + json(), std::string(kMostBody + 1, ' ')));
  refused("length that is none", "POST " + at + " HTTP/1.1\r\n" + host() + origin() + json() +
                                     "Content-Length: -1\r\n\r\n");
  refused("length beyond counting", "POST " + at + " HTTP/1.1\r\n" + host() + origin() + json() +
                                        "Content-Length: 99999999999999999999\r\n\r\n");
  refused("two lengths", "POST " + at + " HTTP/1.1\r\n" + host() + origin() + json() +
                             "Content-Length: 2\r\nContent-Length: 4\r\n\r\n{}{}");
  refused("body of no said length", "POST " + at + " HTTP/1.1\r\n" + host() + origin() + json() +
                                        "Transfer-Encoding: chunked\r\n\r\n2\r\n{}\r\n0\r\n\r\n");
  EXPECT_GE(refused_, 30);
}

TEST_F(Door, answers_nothing_behind_a_refusal) {
  // The body of a refused request, which is a request in itself.
  const std::string inner = get("/" + key() + "/", host());
  ask("POST / HTTP/1.1\r\n" + host() + "Content-Length: " + std::to_string(inner.size()) +
      "\r\n\r\n" + inner);
  EXPECT_EQ(asked_, 0);
  // Nor a second one on the same connection.
  ask(inner + inner);
  EXPECT_EQ(asked_, 1);
}

TEST_F(Door, hangs_up_on_who_is_slow_and_answers_others_meanwhile) {
  std::vector<std::unique_ptr<Caller>> slow;
  for (int i = 0; i < 24; ++i) {
    slow.push_back(std::make_unique<Caller>(port()));
    ASSERT_TRUE(slow.back()->connected());
    slow.back()->send("GET / HTTP/1.1\r\nX: ");
  }
  const auto began = Clock::now();
  EXPECT_EQ(status_in(ask(get("/" + key() + "/", host()))), "200");
  EXPECT_LT(Clock::now() - began, 2500ms) << "before any of them was hung up on";
  // A byte every now and then holds nobody for longer.
  bool held = true;
  while (held && Clock::now() - began < 20s) {
    std::this_thread::sleep_for(250ms);
    held = slow.front()->send("a");
  }
  EXPECT_FALSE(held);
  EXPECT_LT(Clock::now() - began, 15s);
}

TEST_F(Door, hangs_up_on_a_body_that_never_comes) {
  const Caller caller(port());
  caller.send("POST /" + key() + "/x HTTP/1.1\r\n" + host() + origin() + json() +
              "Content-Length: 100\r\n\r\n{");
  const auto began = Clock::now();
  caller.answer(20s);
  EXPECT_LT(Clock::now() - began, 15s);
  EXPECT_EQ(asked_, 0);
}

TEST_F(Door, listens_on_the_loopback_alone) {
  const int fd = ::socket(AF_INET, SOCK_STREAM, 0);
  sockaddr_in to{};
  to.sin_family = AF_INET;
  to.sin_port = htons(static_cast<std::uint16_t>(port()));
  // Of 127/8 all is this machine; a server that listens everywhere would answer here too.
  ::inet_pton(AF_INET, "127.0.0.2", &to.sin_addr);
  EXPECT_NE(::connect(fd, reinterpret_cast<const sockaddr*>(&to), sizeof to), 0);
  ::close(fd);
}

TEST_F(Door, takes_no_port_that_is_taken) {
  EXPECT_THROW(Server(port(), [](const Call&) { return Answer(); }), InputError);
}

TEST(Key, is_long_and_never_the_same) {
  std::set<std::string> keys;
  for (int i = 0; i < 1000; ++i) keys.insert(new_key());
  EXPECT_EQ(keys.size(), 1000U);
  EXPECT_EQ(keys.begin()->size(), 40U);
  EXPECT_EQ(keys.begin()->find_first_not_of("0123456789abcdef"), std::string::npos);
}

TEST(Key, is_compared_whole) {
  EXPECT_TRUE(same_in_constant_time("abc", "abc"));
  for (const char* other : {"", "ab", "abcd", "abd", "xbc", "abcabc"}) {
    EXPECT_FALSE(same_in_constant_time(other, "abc")) << other;
  }
  EXPECT_FALSE(same_in_constant_time("", ""));
}

TEST(Rate, lets_so_many_through_and_then_so_many_a_second) {
  Rate rate(10, 5);
  const Rate::Clock::time_point start{1s};
  for (int i = 0; i < 5; ++i) EXPECT_TRUE(rate.allow(start));
  EXPECT_FALSE(rate.allow(start));
  EXPECT_FALSE(rate.allow(start + 50ms));
  EXPECT_TRUE(rate.allow(start + 200ms));
  int let = 0;
  for (int i = 0; i < 100; ++i) let += rate.allow(start + 1s) ? 1 : 0;
  EXPECT_EQ(let, 5);
}

}  // namespace
}  // namespace basefog::desk
