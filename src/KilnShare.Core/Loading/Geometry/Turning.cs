namespace KilnShare.Core.Loading.Geometry;

/// <summary>Sine and cosine that are the same on every machine: only +, − and ×, which IEEE 754 fixes to the last bit.</summary>
internal static class Turning
{
    /// <summary>Thousandths of a degree in a full turn.</summary>
    public const int Full = 360_000;

    /// <summary>Radians in a thousandth of a degree.</summary>
    public const double RadiansPerThousandth = Math.PI / 180_000;

    public static int Normalise(int thousandths) => ((thousandths % Full) + Full) % Full;

    public static (double Cos, double Sin) Of(int thousandths)
    {
        var turned = Normalise(thousandths);
        var quarter = (turned + 45_000) / 90_000;
        return Rotate(quarter, (turned - (quarter * 90_000)) * RadiansPerThousandth);
    }

    public static (double Cos, double Sin) OfRadians(double radians)
    {
        var quarter = Math.Floor((radians * (2 / Math.PI)) + 0.5);
        return Rotate((int)(((quarter % 4) + 4) % 4), radians - (quarter * (Math.PI / 2)));
    }

    /// <summary>The turn that brings one direction to another, in whole thousandths of a degree, 0 to below a full turn.</summary>
    public static int Between(double fromX, double fromY, double toX, double toY) =>
        Normalise((int)Math.Round(Math.Atan2((fromX * toY) - (fromY * toX), (fromX * toX) + (fromY * toY)) / RadiansPerThousandth));

    private static (double Cos, double Sin) Rotate(int quarter, double rest)
    {
        var (cos, sin) = Series(rest);
        return (quarter & 3) switch
        {
            0 => (cos, sin),
            1 => (-sin, cos),
            2 => (-cos, -sin),
            _ => (sin, -cos),
        };
    }

    // Taylor series for at most a quarter of pi, where the first term left out is below 1e-16.
    private static (double Cos, double Sin) Series(double x)
    {
        var y = x * x;
        var sin = x * (1 - (y / 6 * (1 - (y / 20 * (1 - (y / 42 * (1 - (y / 72 * (1 - (y / 110 * (1 - (y / 156 * (1 - (y / 210))))))))))))));
        var cos = 1 - (y / 2 * (1 - (y / 12 * (1 - (y / 30 * (1 - (y / 56 * (1 - (y / 90 * (1 - (y / 132 * (1 - (y / 182 * (1 - (y / 240)))))))))))))));
        return (cos, sin);
    }
}
