// SPDX-License-Identifier: GPL-3.0-or-later
#include "app/desk/look/look.h"

#include <qcustomplot.h>

#include <QApplication>
#include <QPalette>
#include <QProxyStyle>
#include <QStyle>
#include <QStyleFactory>
#include <QStyleOption>
#include <array>

namespace moundwork::desk {
namespace {

// Okabe and Ito (2008).
constexpr QRgb orange = 0xffe69f00, sky_blue = 0xff56b4e9, bluish_green = 0xff009e73,
               yellow = 0xfff0e442, blue = 0xff0072b2, vermillion = 0xffd55e00,
               reddish_purple = 0xffcc79a7;

bool system_is_dark() {
  const QPalette palette = QApplication::style()->standardPalette();
  return palette.color(QPalette::Window).lightness() <
         palette.color(QPalette::WindowText).lightness();
}

/// Fusion outlines its boxes in a darker shade of the window, which nobody sees on a dark one:
/// boxes are drawn as if on a window of middle grey.
class SeenBoxes : public QProxyStyle {
 public:
  SeenBoxes() : QProxyStyle(QStyleFactory::create(QStringLiteral("Fusion"))) {}
  void drawPrimitive(PrimitiveElement element, const QStyleOption* option, QPainter* painter,
                     const QWidget* widget) const override {
    const bool box = element == PE_IndicatorCheckBox || element == PE_IndicatorRadioButton ||
                     element == PE_IndicatorItemViewItemCheck;
    const bool dark = option->palette.color(QPalette::Window).lightness() < 128;
    if (!box || !dark) return QProxyStyle::drawPrimitive(element, option, painter, widget);
    // Every box's option is a button's or a view item's; both are copied whole.
    if (const auto* button = qstyleoption_cast<const QStyleOptionButton*>(option)) {
      QStyleOptionButton seen(*button);
      seen.palette.setColor(QPalette::Window, Qt::gray);
      QProxyStyle::drawPrimitive(element, &seen, painter, widget);
    } else if (const auto* item = qstyleoption_cast<const QStyleOptionViewItem*>(option)) {
      QStyleOptionViewItem seen(*item);
      seen.palette.setColor(QPalette::Window, Qt::gray);
      QProxyStyle::drawPrimitive(element, &seen, painter, widget);
    } else {
      QProxyStyle::drawPrimitive(element, option, painter, widget);
    }
  }
};

Qt::PenStyle line_of(Role role) {
  switch (role) {
    case Role::back_foot:
      return Qt::SolidLine;
    case Role::lead_foot:
      return Qt::DashLine;
    case Role::ball:
      return Qt::DashDotLine;
    case Role::event:
      return Qt::SolidLine;
    case Role::typed_mark:
      return Qt::DotLine;
    case Role::other:
      return Qt::DashDotDotLine;
  }
  return Qt::SolidLine;
}

}  // namespace

QColor Look::colour(Role role) const {
  switch (role) {
    case Role::back_foot:
      return QColor::fromRgb(dark ? sky_blue : blue);
    case Role::lead_foot:
      return QColor::fromRgb(dark ? orange : vermillion);
    case Role::ball:
      return QColor::fromRgb(bluish_green);
    case Role::event:
      return ink;
    case Role::typed_mark:
      return QColor::fromRgb(reddish_purple);
    case Role::other:
      return faint;
  }
  return ink;
}

QPen Look::pen(Role role, double width) const {
  return {QBrush(colour(role)), width, line_of(role)};
}

QPen Look::nth_pen(int n, double width) const {
  const std::array light_order{blue, vermillion, bluish_green, reddish_purple, orange, sky_blue};
  const std::array dark_order{sky_blue, orange, bluish_green, reddish_purple, yellow, vermillion};
  constexpr std::array styles{Qt::SolidLine, Qt::DashLine, Qt::DotLine, Qt::DashDotLine};
  const auto count = static_cast<int>(light_order.size());
  const auto index = static_cast<std::size_t>(n % count);
  // The style also moves on after a round of colours, so that 24 throws stay apart.
  const auto style = static_cast<std::size_t>((n + n / count) % static_cast<int>(styles.size()));
  return {QBrush(QColor::fromRgb((dark ? dark_order : light_order)[index])), width, styles[style]};
}

Look make_look(Theme theme) {
  Look look;
  look.dark = theme == Theme::dark || (theme == Theme::system && system_is_dark());
  if (look.dark) {
    look.paper = QColor(0x17, 0x1a, 0x1d);
    look.panel = QColor(0x22, 0x26, 0x2a);
    look.ink = QColor(0xea, 0xec, 0xee);
    look.faint = QColor(0x8c, 0x95, 0x9d);
    look.chosen = QColor(0x2f, 0x5d, 0x7c);
    look.caution = QColor::fromRgb(orange);
    look.good = QColor(0x3f, 0xc7, 0x9a);
  } else {
    look.paper = QColor(0xff, 0xff, 0xff);
    look.panel = QColor(0xf3, 0xf2, 0xee);
    look.ink = QColor(0x1c, 0x20, 0x24);
    look.faint = QColor(0x6a, 0x72, 0x7a);
    look.chosen = QColor(0xbf, 0xdc, 0xee);
    // Darkened so that words in it keep 4.5 : 1 on the panel (WCAG 2.1, 1.4.3).
    look.caution = QColor(0xa8, 0x46, 0x00);
    look.good = QColor(0x00, 0x6b, 0x4f);
  }
  return look;
}

void apply_look(QApplication& application, const Look& look) {
  QApplication::setStyle(new SeenBoxes);
  QPalette palette;
  palette.setColor(QPalette::Window, look.panel);
  palette.setColor(QPalette::WindowText, look.ink);
  palette.setColor(QPalette::Base, look.paper);
  palette.setColor(QPalette::AlternateBase, look.panel);
  palette.setColor(QPalette::Text, look.ink);
  palette.setColor(QPalette::PlaceholderText, look.faint);
  palette.setColor(QPalette::Button, look.panel);
  palette.setColor(QPalette::ButtonText, look.ink);
  palette.setColor(QPalette::ToolTipBase, look.paper);
  palette.setColor(QPalette::ToolTipText, look.ink);
  palette.setColor(QPalette::Highlight, look.chosen);
  palette.setColor(QPalette::HighlightedText, look.ink);
  palette.setColor(QPalette::Link, look.colour(Role::back_foot));
  for (const auto role : {QPalette::WindowText, QPalette::Text, QPalette::ButtonText})
    palette.setColor(QPalette::Disabled, role, look.faint);
  QApplication::setPalette(palette);
  // The focus ring is drawn by rule: Fusion's own is hard to see, and the window is meant to be
  // used from the keyboard.
  application.setStyleSheet(
      QStringLiteral("*:focus { outline: 2px solid %1; }"
                     "QToolTip { border: 1px solid %2; padding: 4px; }"
                     "QFrame#practice_band { background: %4; }"
                     "QFrame#practice_band QLabel { color: %5; font-weight: bold; }"
                     "QLabel[caution=\"true\"] { color: %3; }"
                     "QLabel[secondary=\"true\"] { color: %2; }")
          .arg(look.colour(Role::back_foot).name(), look.faint.name(), look.caution.name(),
               look.caution.name(), look.paper.name()));
}

void style_plot(QCustomPlot& plot, const Look& look) {
  plot.setBackground(look.paper);
  QColor grid = look.faint;
  grid.setAlphaF(0.25F);
  for (QCPAxisRect* rectangle : plot.axisRects())
    for (QCPAxis* axis : rectangle->axes()) {
      axis->setBasePen(QPen(look.faint));
      axis->setTickPen(QPen(look.faint));
      axis->setSubTickPen(QPen(look.faint));
      axis->setTickLabelColor(look.ink);
      axis->setLabelColor(look.ink);
      axis->grid()->setPen(QPen(grid, 0.0));
      QColor zero = look.faint;
      zero.setAlphaF(0.7F);
      axis->grid()->setZeroLinePen(QPen(zero, 0.0));
    }
  plot.legend->setBrush(look.paper);
  plot.legend->setTextColor(look.ink);
  plot.legend->setBorderPen(Qt::NoPen);
}

}  // namespace moundwork::desk
