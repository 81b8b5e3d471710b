using KilnShare.Core.Common;

namespace KilnShare.Core.Outcomes;

/// <summary>A part of a kiln by height, so that firings with other shelves can be compared.</summary>
public enum KilnLevel
{
    /// <summary>The lowest third of the chamber.</summary>
    Bottom,

    /// <summary>The middle third.</summary>
    Middle,

    /// <summary>The highest third.</summary>
    Top,
}

/// <summary>Which part of a kiln a shelf lies in.</summary>
public static class KilnLevels
{
    /// <summary>The third of the chamber that the upper face of a shelf lies in. That thirds are told apart is our choice.</summary>
    /// <param name="shelf">Its upper face over the floor.</param>
    /// <param name="chamber">The height of the chamber.</param>
    public static KilnLevel Of(Length shelf, Length chamber) => (3 * shelf.Micrometres / Math.Max(1, chamber.Micrometres)) switch
    {
        <= 0 => KilnLevel.Bottom,
        1 => KilnLevel.Middle,
        _ => KilnLevel.Top,
    };
}
