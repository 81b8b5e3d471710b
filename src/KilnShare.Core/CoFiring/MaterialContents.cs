using KilnShare.Core.Materials;

namespace KilnShare.Core.CoFiring;

/// <summary>What the clay and the layers of a piece contain.</summary>
internal static class MaterialContents
{
    /// <summary>The substance is in the clay or in any layer, raw or fired.</summary>
    public static bool Holds(Ware ware, Substance substance)
    {
        if (Lists(ware.Clay.Contains, substance)) return true;
        foreach (var layer in ware.Layers)
            if (Lists(layer.Glaze.Contains, substance)) return true;
        return false;
    }

    /// <summary>The list names the substance.</summary>
    public static bool Lists(IReadOnlyList<Ingredient>? contents, Substance substance) => Find(contents, substance) is not null;

    /// <summary>The list's entry for the substance.</summary>
    public static Ingredient? Find(IReadOnlyList<Ingredient>? contents, Substance substance)
    {
        for (var i = 0; i < (contents?.Count ?? 0); i++)
            if (contents![i].What == substance) return contents[i];
        return null;
    }
}
