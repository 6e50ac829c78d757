// SPDX-License-Identifier: GPL-3.0-or-later
#include "core/intake/delimited_import.h"

#include <fmt/format.h>

#include <algorithm>
#include <cmath>

#include "core/base/uuid.h"
#include "core/base/wall_time.h"
#include "core/session/companion.h"
#include "core/session/start.h"
#include "core/session/writer.h"
#include "core/stats/median.h"
#include "core/table/delimited.h"
#include "core/table/import_settings.h"

namespace moundwork::intake {
namespace {

// Ticks of an imported device: microseconds resolve any plate's samples.
constexpr double tick_rate = 1e6;
constexpr Eigen::Index rows_at_once = 8192;

struct Columns {
  std::optional<Eigen::Index> time;
  std::vector<Eigen::Index> plates;  // table columns in the device's channel order
};

Result<Columns> find_columns(const table::DelimitedReader& reader,
                             const table::ImportSettings& settings) {
  Columns columns;
  if (settings.time_column) {
    const auto time = reader.column(settings.time_column->name);
    if (!time) return tl::make_unexpected(time.error());
    columns.time = *time;
  }
  for (const table::PlateColumns& plate : settings.plates)
    for (const std::string& name : plate.names) {
      const auto column = reader.column(name);
      if (!column) return tl::make_unexpected(column.error());
      columns.plates.push_back(*column);
    }
  return columns;
}

// Median step of the first rows' times, s: jitter and single gaps do not move it.
Result<double> step_of(const table::Rows& rows, Eigen::Index column, double factor,
                       const std::string& name) {
  std::vector<double> steps;
  for (Eigen::Index i = 1; i < rows.rows(); ++i)
    if (const double step = (rows(i, column) - rows(i - 1, column)) * factor; step > 0.0)
      steps.push_back(step);
  if (steps.empty())
    return fail(name, "its time column does not grow", "check which column holds the time");
  // Times are written with few digits: at 1200 Hz and 0.1 ms the usual step is 0.8 ms, and 4 % too
  // short. Over all rows the rounding is lost.
  const double usual = stats::median(steps);
  double whole = 0.0;
  double count = 0.0;
  for (const double step : steps) {
    whole += step;
    count += std::round(step / usual);
  }
  // A rate of whole hertz, but for the last digits of the sum, is that rate: units of time that
  // differ give the same session.
  const double rate = count / whole;
  const double even = std::round(rate);
  return std::abs(rate - even) < 1e-9 * rate ? 1.0 / even : 1.0 / rate;
}

session::Session session_from(const table::ImportSettings& settings, double rate,
                              const std::filesystem::path& source, const std::string& zone) {
  session::Session session;
  session.id = new_uuid();
  session::set_start(session, wall_now(), zone);
  session.origin = "import of " + source.filename().string();
  session::Device device;
  device.name = "recording";
  device.sample_type = session::SampleType::float64;
  device.sample_rate = rate;
  device.tick_rate = tick_rate;
  device.counts_session_time = true;
  for (const table::PlateColumns& columns : settings.plates) {
    session::Plate plate;
    plate.role = columns.role;
    plate.description = columns.description;
    plate.accuracy = columns.accuracy;
    for (std::size_t c = 0; c < columns.names.size(); ++c) {
      plate.channels.push_back(static_cast<int>(device.channels.size()));
      session::Channel channel;
      channel.name = columns.names[c];
      channel.unit = columns.units[c];
      channel.scale = columns.factors[c];
      device.channels.push_back(channel);
    }
    session.plates.push_back(std::move(plate));
  }
  session.devices = {std::move(device)};
  session.athlete.id = settings.athlete.id;
  session.athlete.name = settings.athlete.name;
  session.athlete.born = settings.athlete.born;
  session.athlete.mass = settings.athlete.mass;
  session.athlete.height = settings.athlete.height;
  session.foot_line = settings.foot_line;
  session.known_ball_speed = settings.ball_speed;
  if (settings.release) session.known_releases = {*settings.release};
  return session;
}

// Turns rows into blocks without gaps.
class BlockMaker {
 public:
  BlockMaker(session::Writer& writer, const Columns& columns, double step, double time_factor,
             std::string name)
      : writer_(writer),
        columns_(columns),
        step_(step),
        time_factor_(time_factor),
        name_(std::move(name)) {}

  Result<void> add(const table::Rows& rows) {
    for (Eigen::Index i = 0; i < rows.rows(); ++i) {
      const double time = columns_.time ? rows(i, *columns_.time) * time_factor_
                                        : static_cast<double>(row_) * step_;
      ++row_;
      bool whole = std::isfinite(time);
      for (const Eigen::Index column : columns_.plates)
        whole = whole && std::isfinite(rows(i, column));
      if (!whole) {
        ++incomplete_;
        continue;
      }
      if (auto added = add(time, rows.row(i)); !added) return added;
    }
    return write();
  }

  [[nodiscard]] std::int64_t incomplete() const { return incomplete_; }
  [[nodiscard]] std::int64_t gaps() const { return gaps_; }
  [[nodiscard]] double duration() const { return any_ ? last_ - origin_ + step_ : 0.0; }

 private:
  Result<void> add(double time, const Eigen::Ref<const Eigen::RowVectorXd>& row) {
    if (!any_) {
      origin_ = time;
      any_ = true;
      begin(time, 0);
    } else {
      const double ahead = (time - last_) / step_;
      if (!(ahead > 0.0))
        return fail(name_, fmt::format("the time stands still or runs back at {:.6f} s", time),
                    "sort the rows by time");
      // Half a step more than one: a sample is missing.
      if (ahead > 1.5) {
        if (auto written = write(); !written) return written;
        ++gaps_;
        begin(time, static_cast<std::int64_t>(std::lround(ahead)) - 1);
      }
    }
    last_ = time;
    for (const Eigen::Index column : columns_.plates) cells_.push_back(row(column));
    return {};
  }

  void begin(double time, std::int64_t missing) {
    block_.ticks = DeviceTicks{std::llround((time - origin_) * tick_rate)};
    block_.arrival = session_time(time - origin_);
    block_.missing_before = missing;
    block_.first_sample = written_;
  }

  Result<void> write() {
    if (cells_.empty()) return {};
    const auto samples = static_cast<std::int64_t>(cells_.size()) /
                         static_cast<std::int64_t>(columns_.plates.size());
    auto appended = writer_.append(0, block_, std::span<const double>(cells_));
    cells_.clear();
    written_ += samples;
    // What comes next goes on where this ended, unless a gap says otherwise.
    begin(last_ + step_, 0);
    return appended;
  }

  session::Writer& writer_;
  const Columns& columns_;
  double step_, time_factor_;
  std::string name_;
  std::vector<double> cells_;
  session::Block block_;
  std::int64_t row_ = 0, written_ = 0, incomplete_ = 0, gaps_ = 0;
  double origin_ = 0.0, last_ = 0.0;
  bool any_ = false;
};

}  // namespace

Result<ImportReport> import_delimited(const std::filesystem::path& table_path,
                                      const std::filesystem::path& settings_path,
                                      const Facts& facts, const std::filesystem::path& target,
                                      const Progress& progress) {
  if (settings_path.empty())
    return fail(table_path.string(), "nothing says what its columns are", Remedy::settings_file);
  const auto settings = table::read_import_settings(settings_path);
  if (!settings) return tl::make_unexpected(settings.error());
  auto reader = table::DelimitedReader::open(table_path, settings->file);
  if (!reader) return tl::make_unexpected(reader.error());
  const auto columns = find_columns(*reader, *settings);
  if (!columns) return tl::make_unexpected(columns.error());
  auto rows = reader->next(rows_at_once);
  if (!rows) return tl::make_unexpected(rows.error());
  if (rows->rows() == 0) return fail(table_path.string(), "holds no rows of numbers");

  double step = 0.0;
  double time_factor = 1.0;
  if (columns->time) {
    time_factor = settings->time_column->seconds_per_unit;
    const auto found = step_of(*rows, *columns->time, time_factor, table_path.string());
    if (!found) return tl::make_unexpected(found.error());
    step = *found;
  } else {
    step = 1.0 / *settings->sample_rate;
  }

  Facts all = facts;
  if (!all.throws) all.throws = settings->athlete.throws;
  const auto zone = zone_of(facts, target);
  if (!zone) return tl::make_unexpected(zone.error());
  session::Session session = session_from(*settings, 1.0 / step, table_path, *zone);
  if (auto applied = apply(all, session); !applied) return tl::make_unexpected(applied.error());
  auto writer = session::Writer::create(target, session);
  if (!writer) return tl::make_unexpected(writer.error());
  BlockMaker blocks(*writer, *columns, step, time_factor, table_path.string());
  std::error_code status;
  const auto bytes = static_cast<double>(std::filesystem::file_size(table_path, status));
  double bytes_per_row = 0.0;
  double done = 0.0;
  while (rows->rows() > 0) {
    if (auto added = blocks.add(*rows); !added) return tl::make_unexpected(added.error());
    done += static_cast<double>(rows->rows());
    // Cells of a dozen characters: near enough for a bar.
    bytes_per_row = 12.0 * static_cast<double>(rows->cols());
    if (!goes_on(progress, std::min(0.99, done * bytes_per_row / std::max(bytes, 1.0))))
      return stopped(table_path.string());
    rows = reader->next(rows_at_once);
    if (!rows) return tl::make_unexpected(rows.error());
  }
  if (blocks.duration() == 0.0)
    return fail(table_path.string(), "has no row in which every plate column holds a number");
  if (auto inside = check_releases(session, blocks.duration()); !inside)
    return tl::make_unexpected(inside.error());
  if (auto closed = writer->close(); !closed) return tl::make_unexpected(closed.error());

  ImportReport report;
  for (std::size_t i = 0; i < settings->plates.size(); ++i)
    (settings->plates[i].role == session::PlateRole::back ? report.back_plates : report.lead_plates)
        .push_back(static_cast<int>(i) + 1);
  if (!report.back_plates.empty()) report.back_plate = report.back_plates.front();
  if (!report.lead_plates.empty()) report.lead_plate = report.lead_plates.front();
  if (const auto& aside = writer->set_aside())
    report.remarks.push_back(session::set_aside_words(*aside));
  report.duration = blocks.duration();
  if (blocks.incomplete() > 0)
    report.remarks.push_back(
        fmt::format("{} rows with a missing value were left out", blocks.incomplete()));
  if (blocks.gaps() > 0)
    report.remarks.push_back(fmt::format("{} gaps in the recording were marked", blocks.gaps()));
  return report;
}

}  // namespace moundwork::intake
