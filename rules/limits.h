// The bounds and spans that a person meets: the pages name them, or several parts must agree on them, each with its
// reason. What bounds the inside of one file alone stands in that file. A bound is met with an error that names it,
// never in silence. "Ours" marks a choice of this project without an outside source.
#pragma once

#include <chrono>
#include <cstddef>

namespace overwinter::limits {

using std::chrono::hours;
using std::chrono::minutes;
using std::chrono::seconds;

// --- Texts that a person writes ---
// A condition is one line; 4096 characters is 30 lines of a screen. The parser recurses, once a level.
inline constexpr std::size_t expression_characters = 4096;
inline constexpr std::size_t expression_depth = 64;
// A site of a hundred pieces of gear takes 30 KiB; the parser's memory grows with the file.
inline constexpr std::size_t yaml_bytes = std::size_t{1} << 20;
inline constexpr std::size_t yaml_depth = 32;
// Places and pieces of gear of a site: a storage lot of a thousand campers. Each costs some kilobytes.
inline constexpr std::size_t entities = 8000;
// Ids become levels of MQTT topics and columns of tables on a screen.
inline constexpr std::size_t id_characters = 40;
inline constexpr std::size_t unit_characters = 64;          // the longest compound that means something has about 20
inline constexpr int unit_exponent = 9;                     // keeps the exponents of a product within 8 bits
inline constexpr std::size_t longest_word_to_correct = 64;  // edit distance costs the square of it

// --- What arrives over MQTT ---
// Sensors send tens of bytes; some gateways a whole device list. MQTT itself would allow 256 MiB.
inline constexpr std::size_t payload_bytes = std::size_t{64} * 1024;
inline constexpr std::size_t json_depth = 32;
inline constexpr std::size_t topic_bytes = 1024;   // MQTT 5, 1.5.4 allows 65535; ours, for memory
inline constexpr std::size_t pointer_bytes = 256;  // JSON Pointer (RFC 6901) of a sensor
inline constexpr std::size_t by_characters = 200;  // `by`, `note`, `why`, `found` of a command
inline constexpr std::size_t command_id_characters = 64;
// Within it the same command id is answered again and not executed twice: a phone that was out of reach retries.
inline constexpr hours command_id_remembered{24};
inline constexpr std::size_t command_ids_remembered = 1000;  // ours; a household sends a few a day

// --- Times that are told to us ---
inline constexpr hours back_dated_reading{14 * 24};  // a radio that stores and forwards; trends use days
inline constexpr hours back_dated_command{60 * 24};  // what was written on paper at the last visits
inline constexpr minutes ahead{5};                   // clocks of households agree to minutes
inline constexpr minutes clock_step{5};              // a larger step against the monotonic clock: time is not trusted
// Trusted time that lies behind by no more is waited for at half speed; by more, state is made anew from the journal.
inline constexpr hours clock_set_back{24};
// A clock that nothing disciplines may show so much more than the journal's end: a year without power, and a season.
inline constexpr hours longest_downtime{550 * 24};
inline constexpr hours longest_shelving{30 * 24};
inline constexpr hours longest_shelving_of_critical{24};

// --- Silence and delays ---
inline constexpr hours stale_after{6};             // unless the site says another; ours, a night without radio is told
inline constexpr hours unknown_resets_delays{24};  // a condition unknown for longer begins its delay anew
inline constexpr hours interpolation_gap{2};       // two neighbors at most so far apart are interpolated

// --- Memory ---
// A window keeps buckets, so that its memory does not grow with its length: an answer may be off by one bucket.
inline constexpr std::size_t window_buckets = 96;        // a day in quarters of an hour
inline constexpr std::size_t window_raw_readings = 512;  // two hours at one reading in 14 s
inline constexpr hours window_with_raw_readings{2};
inline constexpr hours longest_window{92 * 24};  // a quarter of a year
inline constexpr std::size_t slope_buckets = 5;  // fewer points give no slope worth telling

// --- Suspicion ---
inline constexpr minutes shared_silence{30};  // half of a gateway's sensors silent within it: the gateway
inline constexpr minutes shared_jump{15};     // two pieces of gear that jump together within it
// A number repeats for so long, and so often, while what it should follow moves: a day has its night and its noon.
inline constexpr hours stuck_after{24};
inline constexpr std::size_t stuck_readings = 24;

// --- What a person is told ---
inline constexpr hours rejections_told_every{1};  // one event an hour a sensor, with a count
inline constexpr hours first_repeat{1};           // a critical alarm unacknowledged: again after 1 h, 4 h, then
inline constexpr hours second_repeat{4};          // daily
inline constexpr hours further_repeats{24};
inline constexpr hours cleared_stays_visible{7 * 24};  // of an alarm that nobody acknowledged
inline constexpr hours gap_worth_telling{24};          // a night's repair of the network is none; ours
inline constexpr hours gap_stays_visible{7 * 24};
// Local hours in which nothing below high is pushed, unless the site says others.
inline constexpr int quiet_from_hour = 21;
inline constexpr int quiet_until_hour = 8;
inline constexpr std::size_t notice_title_characters = 50;      // what a phone shows of a title
inline constexpr std::size_t notice_sentence_characters = 120;  // and of the first sentence
inline constexpr double well_known_share = 0.9;                 // "all is well" needs so much of the week known
inline constexpr minutes retained_topic_every{1};               // a quantity topic is published at most so often
inline constexpr hours retained_time_every{1};                  // the time of one that reads the same, so often
inline constexpr seconds retained_topic_after_command{1};       // and so often where a person's word changed it

// --- The journal and the programs ---
inline constexpr seconds readings_committed_within{60};  // at most so much is lost in a power cut
inline constexpr std::size_t outbox_messages = 10'000;   // undelivered notices and events of a long broker outage
inline constexpr seconds answer_awaited{10};             // the command line waits so long for an answer

}  // namespace overwinter::limits
