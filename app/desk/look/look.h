// SPDX-License-Identifier: GPL-3.0-or-later
#pragma once

#include <QColor>
#include <QPen>

class QApplication;
class QCustomPlot;

/// Colours, lines and type of the whole window, light and dark.
namespace moundwork::desk {

enum class Theme { system, light, dark };

/// What a line or mark stands for. Each has a colour that colour-blind people can tell from the
/// others and a line style of its own, so that nothing rests on colour alone.
enum class Role { back_foot, lead_foot, ball, event, typed_mark, other };

struct Look {
  bool dark = false;
  QColor paper;  ///< behind plots and tables
  QColor panel;  ///< behind controls
  QColor ink;    ///< text and axes
  QColor faint;  ///< grid, secondary text
  QColor chosen;
  QColor caution;  ///< what needs a look; always with words
  QColor good;

  /// Colours of Okabe and Ito, "Color Universal Design" (2008); on dark paper the brighter of the
  /// pairs that they give.
  [[nodiscard]] QColor colour(Role role) const;
  /// Colour and line style, width in device-independent pixels.
  [[nodiscard]] QPen pen(Role role, double width = 1.6) const;
  /// The nth of several throws drawn together: colour and line style change together.
  [[nodiscard]] QPen nth_pen(int n, double width = 1.6) const;
};

[[nodiscard]] Look make_look(Theme theme);
/// Palette and the few style rules of the application.
void apply_look(QApplication& application, const Look& look);
/// Paper, axes, grid and labels of a plot.
void style_plot(QCustomPlot& plot, const Look& look);

}  // namespace moundwork::desk
