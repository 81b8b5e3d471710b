namespace KilnShare.Core.CoFiring;

/// <summary>Who gives and who takes where one thing harms another; nobody harms himself.</summary>
internal static class Pairs
{
    /// <summary>
    /// The givers that have a taker beside them and the takers that have a giver, in the order of the load; empty when there is no such
    /// pair. Linear in their number: pairs are never listed one by one.
    /// </summary>
    public static (List<int> Givers, List<int> Takers) Between(List<int> givers, List<int> takers) =>
        (HavingAnother(givers, takers), HavingAnother(takers, givers));

    private static List<int> HavingAnother(List<int> these, List<int> others) => others.Count switch
    {
        0 => [],
        1 => [.. these.Where(i => i != others[0])],
        _ => these,
    };
}
