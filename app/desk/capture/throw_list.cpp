// SPDX-License-Identifier: GPL-3.0-or-later
#include "app/desk/capture/throw_list.h"

#include <QFont>
#include <QStringList>
#include <algorithm>

#include "app/desk/capture/throw_tags.h"
#include "app/desk/state/words.h"
#include "core/session/flagged.h"

namespace moundwork::desk {
namespace {

using definitions::Quantity;

QString minutes_text(double time) {
  const int whole = static_cast<int>(std::max(0.0, time));
  return QStringLiteral("%1:%2").arg(whole / 60).arg(whole % 60, 2, 10, QChar(u'0'));
}

std::optional<Quantity> quantity_of(int column) {
  switch (column) {
    case ThrowList::speed:
      return Quantity::ball_speed;
    case ThrowList::heel_toe:
      return Quantity::heel_toe_at_drive_peak;
    case ThrowList::braking:
      return Quantity::braking_impulse;
    case ThrowList::timing:
      return Quantity::braking_timing;
    default:
      return std::nullopt;
  }
}

/// "61.7 %": the list has no room for uncertainties, which the panel and the tool tip give.
QString short_words(const session::ResultThrow& thrown, Quantity wanted,
                    const Preferences& preferences, double mass) {
  const Quantity quantity = shown_quantity(wanted, preferences, mass);
  const definitions::Entry& entry = definitions::entry(quantity);
  return short_quantity_text(std::string(entry.key), std::string(entry.unit),
                             measured_of(thrown, quantity), preferences, mass);
}

}  // namespace

Measured measured_of(const session::ResultThrow& thrown, Quantity quantity) {
  const auto found = std::find_if(thrown.quantities.begin(), thrown.quantities.end(),
                                  [&](const session::ResultValue& value) {
                                    return value.key == definitions::entry(quantity).key;
                                  });
  return found == thrown.quantities.end() ? Measured{} : found->measured;
}

QString number_words(const session::ResultThrow& thrown, Quantity wanted,
                     const Preferences& preferences, double mass) {
  const Quantity quantity = shown_quantity(wanted, preferences, mass);
  const definitions::Entry& entry = definitions::entry(quantity);
  return quantity_text(std::string(entry.key), std::string(entry.unit),
                       measured_of(thrown, quantity), preferences, mass);
}

void ThrowList::clear() { set_throws({}); }

void ThrowList::set_throws(std::vector<session::ResultThrow> throws) {
  beginResetModel();
  throws_ = std::move(throws);
  endResetModel();
}

void ThrowList::add(const session::ResultThrow& thrown) {
  beginInsertRows({}, 0, 0);
  throws_.push_back(thrown);
  endInsertRows();
}

void ThrowList::set_edits(const std::vector<session::Edit>& edits) {
  edits_ = edits;
  if (!throws_.empty()) Q_EMIT dataChanged(index(0, 0), index(rowCount() - 1, column_count - 1));
}

void ThrowList::set_choices(const Preferences& preferences, double mass) {
  preferences_ = preferences;
  mass_ = mass;
  if (!throws_.empty()) Q_EMIT dataChanged(index(0, 0), index(rowCount() - 1, column_count - 1));
}

const session::ResultThrow* ThrowList::at(int row) const {
  if (row < 0 || row >= rowCount()) return nullptr;
  return &throws_[throws_.size() - 1 - static_cast<std::size_t>(row)];
}

session::EditState ThrowList::state(int row) const {
  const session::ResultThrow* thrown = at(row);
  return thrown == nullptr ? session::EditState{}
                           : session::state_of(edits_, seconds(thrown->contact));
}

int ThrowList::row_of(int wanted) const {
  for (int row = 0; row < rowCount(); ++row)
    if (at(row)->number == wanted) return row;
  return -1;
}

int ThrowList::rowCount(const QModelIndex& parent) const {
  return parent.isValid() ? 0 : static_cast<int>(throws_.size());
}

int ThrowList::columnCount(const QModelIndex& parent) const {
  return parent.isValid() ? 0 : column_count;
}

QString ThrowList::text(const session::ResultThrow& thrown, int row, int column) const {
  if (const auto quantity = quantity_of(column))
    return short_words(thrown, *quantity, preferences_, mass_);
  switch (column) {
    case number:
      return QString::number(thrown.number);
    case time:
      return minutes_text(seconds(thrown.contact));
    case tags:
      return tag_words(state(row));
    case remarks: {
      QStringList words;
      for (const session::ResultFlag& flag : session::in_reading_order(thrown.flags))
        words << plain_name(flag.key).toLower();
      return words.join(QStringLiteral("; "));
    }
    default:
      return {};
  }
}

QVariant ThrowList::data(const QModelIndex& index, int role) const {
  const session::ResultThrow* thrown = at(index.row());
  if (thrown == nullptr) return {};
  switch (role) {
    case Qt::DisplayRole:
      return text(*thrown, index.row(), index.column());
    case Qt::ToolTipRole: {
      if (const auto quantity = quantity_of(index.column()))
        return number_words(*thrown, *quantity, preferences_, mass_);
      if (index.column() != remarks) return text(*thrown, index.row(), index.column());
      QStringList sentences;
      for (const session::ResultFlag& flag : session::in_reading_order(thrown->flags))
        sentences << QString::fromStdString(flag.detail);
      return sentences.join(u'\n');
    }
    case Qt::TextAlignmentRole:
      return index.column() < tags ? QVariant(Qt::AlignRight | Qt::AlignVCenter) : QVariant();
    case Qt::FontRole: {
      // Left out of everything that follows: struck through, beside the words in the tags.
      if (!state(index.row()).excluded) return {};
      QFont struck;
      struck.setStrikeOut(index.column() < tags);
      return struck;
    }
    default:
      return {};
  }
}

QVariant ThrowList::headerData(int section, Qt::Orientation orientation, int role) const {
  if (orientation != Qt::Horizontal || role != Qt::DisplayRole) return {};
  static const QStringList titles{
      QStringLiteral("Throw"),           QStringLiteral("At"),
      QStringLiteral("Ball speed"),      QStringLiteral("Heel to toe"),
      QStringLiteral("Braking impulse"), QStringLiteral("Peak to release"),
      QStringLiteral("Noted"),           QStringLiteral("To look at")};
  return titles.value(section);
}

}  // namespace moundwork::desk
