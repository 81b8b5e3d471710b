using System.Diagnostics.CodeAnalysis;

namespace KilnShare.Core.Cones;

/// <summary>A pyrometric cone by its number. The leading zero belongs to the name: 06 is far cooler than 6.</summary>
/// <remarks>Order, cold to hot: 022 … 01, 1 … 14, with the half cones 05.5 and 5.5. There is no cone 0.</remarks>
public readonly record struct Cone : IComparable<Cone>
{
    private static readonly string[] Names =
    [
        "022", "021", "020", "019", "018", "017", "016", "015", "014", "013", "012", "011", "010", "09", "08", "07", "06", "05.5", "05",
        "04", "03", "02", "01", "1", "2", "3", "4", "5", "5.5", "6", "7", "8", "9", "10", "11", "12", "13", "14",
    ];

    private static readonly Dictionary<string, Cone> ByName = MakeByName();

    // Where each stands when whole cones count one and a half cone stands half way.
    private static readonly decimal[] Steps = MakeSteps();

    private Cone(int order) => Order = order;

    /// <summary>Place in the order from cold (0 is cone 022) to hot.</summary>
    public int Order { get; }

    /// <summary>The number as written, e.g. <c>06</c>, <c>05.5</c>, <c>6</c>.</summary>
    public string Name => Names[Order];

    /// <summary>Every cone, cold to hot.</summary>
    public static IReadOnlyList<Cone> All { get; } = [.. Enumerable.Range(0, Names.Length).Select(i => new Cone(i))];

    /// <summary>The cone at a place in the order.</summary>
    /// <exception cref="ArgumentOutOfRangeException">No such place.</exception>
    public static Cone At(int order) => All[order];

    /// <summary>Reads a cone's number; <c>05½</c> is taken for <c>05.5</c>.</summary>
    public static bool TryParse([NotNullWhen(true)] string? text, out Cone cone) =>
        ByName.TryGetValue(text?.Replace("½", ".5", StringComparison.Ordinal) ?? "", out cone);

    /// <summary>The cone of that number.</summary>
    /// <exception cref="FormatException">No such cone.</exception>
    public static Cone Parse(string text) => TryParse(text, out var cone) ? cone : throw new FormatException($"There is no cone {text}.");

    /// <summary>How many whole cones this one is hotter than another; half cones count half, and cooler ones are negative.</summary>
    public decimal StepsAbove(Cone other) => Steps[Order] - Steps[other.Order];

    /// <summary>The cone that is this one but for the leading zero: 6 for 06, 06 for 6; null where there is none, as for 018.</summary>
    public Cone? Namesake => TryParse(Name[0] == '0' ? Name[1..] : "0" + Name, out var other) ? other : null;

    /// <inheritdoc/>
    public int CompareTo(Cone other) => Order.CompareTo(other.Order);

    /// <summary>Cooler.</summary>
    public static bool operator <(Cone a, Cone b) => a.Order < b.Order;

    /// <summary>Hotter.</summary>
    public static bool operator >(Cone a, Cone b) => a.Order > b.Order;

    /// <summary>Not hotter.</summary>
    public static bool operator <=(Cone a, Cone b) => a.Order <= b.Order;

    /// <summary>Not cooler.</summary>
    public static bool operator >=(Cone a, Cone b) => a.Order >= b.Order;

    /// <summary>The number.</summary>
    public override string ToString() => Name;

    private static decimal[] MakeSteps()
    {
        var steps = new decimal[Names.Length];
        for (var (i, whole) = (0, -1); i < Names.Length; i++)
            steps[i] = Names[i].EndsWith(".5", StringComparison.Ordinal) ? whole + 0.5m : ++whole;
        return steps;
    }

    private static Dictionary<string, Cone> MakeByName()
    {
        var byName = new Dictionary<string, Cone>(StringComparer.Ordinal);
        for (var i = 0; i < Names.Length; i++) byName.Add(Names[i], new Cone(i));
        return byName;
    }
}

/// <summary>The make of cone a number belongs to. Numbers of different series do not mean the same heat.</summary>
public enum ConeSeries
{
    /// <summary>Cones that stand by themselves.</summary>
    SelfSupporting,

    /// <summary>Self-supporting cones without iron, for reduction.</summary>
    SelfSupportingIronFree,

    /// <summary>Large cones, set in a plaque.</summary>
    /// <remarks>Their iron-free kind is no series: it reads within 5 °C of the self-supporting iron-free one, which is the one in use.</remarks>
    Large,

    /// <summary>Small cones, as used in cut-outs.</summary>
    Small,
}

/// <summary>From one cone to another, both included.</summary>
/// <param name="From">The coolest.</param>
/// <param name="To">The hottest.</param>
/// <param name="Series">The series of both; null where it was not said.</param>
public sealed record ConeRange(Cone From, Cone To, ConeSeries? Series = null)
{
    /// <summary>True when the cone lies within the range.</summary>
    public bool Holds(Cone cone) => cone >= From && cone <= To;

    /// <summary>True where it may be compared with cones of a series: it names none, the same, or one whose cones at both its ends are alike.</summary>
    public bool IsReadBy(ConeSeries series) =>
        Series is not { } own || (SeriesLikeness.IsAlike(own, series, From) && SeriesLikeness.IsAlike(own, series, To));
}
