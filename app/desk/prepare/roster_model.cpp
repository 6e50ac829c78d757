// SPDX-License-Identifier: GPL-3.0-or-later
#include "app/desk/prepare/roster_model.h"

#include <algorithm>

#include "core/base/sentence.h"

namespace moundwork::desk {

RosterModel::RosterModel(DeskState& state, RosterHistory& history, QObject* parent)
    : QAbstractTableModel(parent), state_(state), history_(history) {
  shown_ = state_.roster();
  connect(&state_, &DeskState::roster_changed, this, &RosterModel::take_up);
  connect(&state_, &DeskState::athlete_changed, this, [this] {
    if (!shown_.empty()) Q_EMIT dataChanged(index(0, 0), index(rowCount() - 1, 1));
  });
}

void RosterModel::take_up() {
  const std::vector<RosterAthlete>& now = state_.roster();
  const bool lines_stay = now.size() >= shown_.size() &&
                          std::equal(shown_.begin(), shown_.end(), now.begin(),
                                     [](const RosterAthlete& one, const RosterAthlete& other) {
                                       return one.id == other.id;
                                     });
  // One line at least may have another id: the user has just typed it.
  const bool typed = now.size() == shown_.size() && !state_.taking_over();
  if (!lines_stay && !typed) {
    beginResetModel();
    shown_ = now;
    endResetModel();
    return;
  }
  // Same lines: the place where the user is in the table stays, and what is being typed into a
  // line that nobody else has changed.
  for (std::size_t i = 0; i < shown_.size(); ++i) {
    if (people::same(shown_[i], now[i])) continue;
    const auto row = static_cast<int>(i);
    shown_[i] = now[i];
    Q_EMIT dataChanged(index(row, 0), index(row, roster_column_count - 1));
  }
  if (now.size() == shown_.size()) return;
  beginInsertRows({}, rowCount(), static_cast<int>(now.size()) - 1);
  shown_ = now;
  endInsertRows();
}

int RosterModel::rowCount(const QModelIndex& parent) const {
  return parent.isValid() ? 0 : static_cast<int>(shown_.size());
}

int RosterModel::columnCount(const QModelIndex& parent) const {
  return parent.isValid() ? 0 : roster_column_count;
}

QVariant RosterModel::data(const QModelIndex& index, int role) const {
  if (!index.isValid() || index.row() >= rowCount()) return {};
  const RosterAthlete& athlete = shown_[static_cast<std::size_t>(index.row())];
  const auto column = static_cast<RosterColumn>(index.column());
  if (role != Qt::DisplayRole && role != Qt::EditRole && role != Qt::ToolTipRole) return {};
  const std::string day = today(state_.lab());
  if (role == Qt::DisplayRole || role == Qt::EditRole) {
    if (column == RosterColumn::turn)
      return state_.athlete() != nullptr && state_.athlete()->id == athlete.id
                 ? QStringLiteral("now")
                 : QString();
    const QString text = cell_text(athlete, column, day);
    if (role == Qt::DisplayRole && text.isEmpty()) {
      if (column == RosterColumn::consent) return QStringLiteral("missing");
      const auto age = age_on(athlete, day);
      if (column == RosterColumn::guardian_consent)
        return age && *age >= 18 ? QStringLiteral("not needed") : QStringLiteral("missing");
    }
    return text;
  }
  const QString text = cell_text(athlete, column, day);
  return text.isEmpty() ? QString::fromUtf8(entry_of(column).help) : text;
}

QVariant RosterModel::headerData(int section, Qt::Orientation orientation, int role) const {
  if (orientation != Qt::Horizontal) return {};
  const auto column = static_cast<RosterColumn>(section);
  if (role == Qt::DisplayRole) return column_title(column);
  if (role == Qt::ToolTipRole) return QString::fromUtf8(entry_of(column).help);
  return {};
}

Qt::ItemFlags RosterModel::flags(const QModelIndex& index) const {
  Qt::ItemFlags flags = QAbstractTableModel::flags(index);
  if (index.isValid() && can_edit(static_cast<RosterColumn>(index.column())))
    flags |= Qt::ItemIsEditable;
  return flags;
}

bool RosterModel::setData(const QModelIndex& index, const QVariant& value, int role) {
  if (role != Qt::EditRole || !index.isValid()) return false;
  const auto column = static_cast<RosterColumn>(index.column());
  const QString text = value.toString();
  auto athletes = state_.roster();
  RosterAthlete& athlete = athletes.at(static_cast<std::size_t>(index.row()));
  const std::string day = today(state_.lab());
  if (text.trimmed() == cell_text(athlete, column, day)) return true;
  auto changed = with_cell(athlete, column, text, day);
  if (!changed) {
    Q_EMIT refused(changed.error());
    return false;
  }
  const std::string before = athlete.id;
  if (changed->id != before &&
      std::any_of(athletes.begin(), athletes.end(),
                  [&](const RosterAthlete& a) { return a.id == changed->id; })) {
    Q_EMIT refused(
        fail(changed->id, "is another athlete's id", "give every athlete one of their own")
            .value());
    return false;
  }
  const bool their_turn = state_.athlete() != nullptr && state_.athlete()->id == before;
  const std::string id = changed->id;
  athlete = std::move(*changed);
  const QString what = QString::fromStdString(sentence(
      "{column} of {id}",
      "column"_is(QString::fromUtf8(entry_of(column).title).toLower().toStdString()), "id"_is(id)));
  if (const auto written = history_.change(what, std::move(athletes)); !written) {
    Q_EMIT refused(written.error());
    return false;
  }
  if (their_turn && id != before) state_.choose_athlete(id);
  Q_EMIT taken();
  return true;
}

}  // namespace moundwork::desk
