namespace KilnShare.Core.Common;

/// <summary>A length, kept as whole micrometres so that "does it fit" is exact.</summary>
/// <param name="Micrometres">Whole micrometres.</param>
public readonly record struct Length(long Micrometres) : IComparable<Length>
{
    /// <summary>No length.</summary>
    public static Length Zero => default;

    /// <summary>The length in millimetres, three decimals at most.</summary>
    public decimal Mm => Micrometres / 1000m;

    /// <summary>A length given in whole millimetres.</summary>
    public static Length OfMm(long millimetres) => new(millimetres * 1000);

    /// <summary>A length given in millimetres with up to three decimals; more are refused, not rounded.</summary>
    public static bool TryFromMm(decimal millimetres, out Length length)
    {
        length = default;
        if (Math.Abs(millimetres) > 9_000_000_000m) return false;
        var micrometres = millimetres * 1000m;
        if (decimal.Truncate(micrometres) != micrometres) return false;
        length = new Length((long)micrometres);
        return true;
    }

    /// <inheritdoc/>
    public int CompareTo(Length other) => Micrometres.CompareTo(other.Micrometres);

    /// <summary>Sum.</summary>
    public static Length operator +(Length a, Length b) => new(a.Micrometres + b.Micrometres);

    /// <summary>Difference.</summary>
    public static Length operator -(Length a, Length b) => new(a.Micrometres - b.Micrometres);

    /// <summary>Shorter.</summary>
    public static bool operator <(Length a, Length b) => a.Micrometres < b.Micrometres;

    /// <summary>Longer.</summary>
    public static bool operator >(Length a, Length b) => a.Micrometres > b.Micrometres;

    /// <summary>Not longer.</summary>
    public static bool operator <=(Length a, Length b) => a.Micrometres <= b.Micrometres;

    /// <summary>Not shorter.</summary>
    public static bool operator >=(Length a, Length b) => a.Micrometres >= b.Micrometres;

    /// <summary>Millimetres with their unit.</summary>
    public override string ToString() => $"{Mm} mm";
}
