using KilnShare.Core.Loading.Shelves;

namespace KilnShare.Core.Loading.Levels;

/// <summary>In what order waiting ware is offered to a level.</summary>
internal enum Preference
{
    /// <summary>The tallest first.</summary>
    Height,

    /// <summary>The most value for its area first.</summary>
    Density,

    /// <summary>The largest footprint first.</summary>
    Area,

    /// <summary>The most value first.</summary>
    Value,
}

/// <summary>A place on a shelf that was just cleared.</summary>
/// <param name="Window">Where.</param>
/// <param name="Area">Larger pieces are not tried, µm².</param>
internal sealed record Hole(Window Window, double Area);
